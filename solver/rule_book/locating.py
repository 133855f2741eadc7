"""Locating: supports, side and end points, how well they hold a part square and how true they are."""

from __future__ import annotations

from solver.rule_book.record import PLAN_MAKERS_FAULT, Display, Hindrance, RelaxationLimit, Rule, Value

RAISE_IT = "another side down, a rest or V-block that reaches, or a rule that asks for less"

RULES: tuple[Rule, ...] = (
    Rule(
        "locate.side_spacing_ratio",
        "outermost side contact points are at least this share of the part's length along the face apart",
        Value(0.5, "share", 0, 1),
        hindrance=Hindrance(
            place=120,
            remedy="more or wider stops, or a smaller ratio",
            meaning="the outermost side points of a part must stand wide apart",
            sentence=(
                "{subject}: the outermost points of its side must be {part.side_spacing:.4g} mm apart "
                "({locate.side_spacing_ratio:g} of its length)"
            ),
            suspects=("locate.side_spacing_ratio", "clear.weld_locator", "locate.pad_share"),
            turn=110,
        ),
        relaxation=RelaxationLimit(0.2, "less", place=50),
        if_broken="move them apart",
        finding=Display("parts and clamps", place=20, words="distance, edge to edge"),
    ),
    Rule(
        "locate.side_spacing_max",
        "a wider spacing of side contact points than this is never asked",
        Value(600, "mm", 0, 20000),
        checked_as=("locate.side_spacing_ratio",),
    ),
    Rule(
        "locate.side_face_ratio",
        "the side points stand on a long face: the longest that carries one of the two outermost is at least this share of "
        "the part's longest upright one; 0: on any",
        Value(0.5, "share", 0, 1),
        hindrance=Hindrance(
            place=125,
            remedy="room for two stops along a long side, or a smaller ratio",
            meaning="the side points of a part must stand on a long face of it",
            sentence=(
                "{subject}: its side points must stand on a face {part.side_face:.4g} mm long or longer "
                "({locate.side_face_ratio:g} of its longest upright one)"
            ),
            by_itself=(
                "{subject}: wherever it stands, no two points of a side can be met on an upright face "
                "{part.side_face:.4g} mm long or longer ({locate.side_face_ratio:g} of its longest)"
            ),
            suspects=("locate.side_face_ratio", "clear.weld_locator", "locate.pad_share"),
            turn=115,
        ),
        relaxation=RelaxationLimit(0, "less", place=55),
        if_broken="stops on a longer face",
        finding=Display("parts and clamps", place=25, words="the longest face under its outermost side points"),
    ),
    Rule(
        "locate.support_margin",
        "the centre of gravity lies this far inside the outline of the support patches",
        Value(10, "mm", 0, 1000),
        relaxation=RelaxationLimit(1, "less", place=130),
        if_broken="another rest",
        finding=Display("parts and clamps", place=10, words="centre of gravity inside the outline of the support patches"),
    ),
    Rule(
        "locate.support_margin_ratio",
        "or this share of the part's least level width, whichever is less",
        Value(0.2, "share", 0, 0.5),
        checked_as=("locate.support_margin",),
    ),
    Rule(
        "locate.pad_share",
        "along both directions of a locator's pad its patch is at least this share of the lesser of pad and face; 0: any will do",
        Value(0.5, "share", 0, 1),
        hindrance=Hindrance(
            place=127,
            remedy="stops whose pads lie further over the part, or a smaller share",
            meaning="a locator's pad must bear on its share of the part's face",
            by_itself=(
                "{subject}: wherever it stands, pads that could locate or carry it bear on less than {locate.pad_share:g} of "
                "the lesser of pad and face"
            ),
        ),
        relaxation=RelaxationLimit(0, "less", place=145),
        if_broken="set it so that more of its pad meets the part",
        finding=Display(
            "parts and clamps", place=70, words="locators bear on their share of the lesser of pad and face", number=False
        ),
    ),
    Rule(
        "locate.opposed",
        "1: two locators may face each other across a part, or across parts that lie against each other along that direction; "
        "less: none do, a clamp presses the part to its stops instead",
        Value(0, "-", 0, 1),
        hindrance=Hindrance(
            place=130,
            remedy="a side clamp that presses the part to its stops, or a rule that allows it",
            meaning=("locators on opposite sides of a part, or of parts that lie against each other, are not used together"),
            sentence=(
                "{subject}: no two locators may face each other across a part, or across parts that lie against each other"
            ),
            turn=140,
        ),
        relaxation=RelaxationLimit(1, "more", place=140),
        if_broken="a clamp instead of one of the two; where the rule lets them, they are told and no fault",
        finding=Display("locators face to face"),
    ),
    Rule(
        "locate.together",
        "1: parts that meet in a closed ring, mitred at every corner, may be located together: the ring gives each its end, a "
        "tip of one meets a pad, and clamps press every joint; less: each part is located by what is there before it",
        Value(1, "-", 0, 1),
        hindrance=Hindrance(
            place=85,
            remedy="side clamps that press the ring's joints, or a rule that lets its parts be located together",
            meaning="parts of a closed ring are located together where the rule book lets them and clamps press every joint",
            sentence="{subject}: clamps must press every joint of a closed ring whose parts are located together",
            by_itself=(
                "{subject}: wherever it stands, only a tip could be its end point; tips count where parts of a closed ring may "
                "be located together: where locate.together is 1, not {locate.together:g}"
            ),
            turn=45,
        ),
        relaxation=RelaxationLimit(1, "more", place=135),
        if_broken="a pad at a tip of the ring, and side clamps that press its joints together",
        finding=Display("parts and clamps", place=35),
    ),
    Rule(
        "locate.condition_max",
        "largest condition number of a part's locator matrix",
        Value(50, "-", 1, 1e6),
        hindrance=Hindrance(
            place=140,
            remedy="points further apart",
            meaning="the contacts of a part hold it square only weakly",
            sentence="{subject}: a locator matrix may have a condition number of {locate.condition_max:g} at most",
            turn=30,
        ),
        relaxation=RelaxationLimit(200, "more", place=150),
        if_broken="points further apart",
        finding=Display(
            "parts and clamps", place=30, words="condition number of the locator matrix (Asada & By 1985; Cai, Hu & Yuan 1997)"
        ),
    ),
    Rule(
        "locate.tolerance_share",
        "share of a tolerance that locating alone may use, worst case",
        Value(0.5, "share", 0.01, 1),
        hindrance=Hindrance(
            place=150,
            remedy="stiffer, more repeatable pieces, fewer on each other, or a wider tolerance",
            meaning="locating alone may use up too much of a tolerance",
            sentence=("{subject}: locating alone may use up {locate.tolerance_share:g} of a tolerance at most, worst case"),
            turn=40,
        ),
        relaxation=RelaxationLimit(1, "more", place=160),
        if_broken="stiffer, more repeatable pieces",
        finding=Display("locating error", place=10),
    ),
    Rule(
        "locate.side",
        "a part needs two points of contact on one upright side",
        hindrance=Hindrance(
            place=80,
            remedy=RAISE_IT,
            sentence=(
                "{subject}: two points of contact on one upright side are needed, {part.low:.4g} to {part.high:.4g} mm "
                "above the table"
            ),
            by_itself=(
                "{subject}: no free piece, alone or on risers, meets any upright face of it, {part.low:.4g} to "
                "{part.high:.4g} mm above the table"
            ),
            suspects=("clear.weld_locator", "clear.weld", "clear.body", "locate.pad_share"),
            turn=140,
        ),
        checked_as=("locate.side_points",),
    ),
    Rule(
        "locate.end",
        "a part needs a stop across its side",
        hindrance=Hindrance(
            place=90,
            remedy=RAISE_IT,
            sentence=(
                "{subject}: a stop across its side is needed for the end, {part.low:.4g} to {part.high:.4g} mm above the table"
            ),
            by_itself=(
                "{subject}: no free piece, alone or on risers, meets another upright face of it, {part.low:.4g} to "
                "{part.high:.4g} mm above the table"
            ),
            suspects=("clear.weld_locator", "clear.weld", "clear.body", "locate.pad_share", "locate.opposed"),
            turn=140,
        ),
        checked_as=("locate.end_points",),
    ),
    Rule(
        "locate.support",
        "a part must be carried with its centre of gravity inside its supports",
        hindrance=Hindrance(
            place=100,
            remedy="rests of the right height, or risers under them",
            sentence=(
                "{subject}: supports {part.low:.4g} mm above the table are needed, with the centre of gravity "
                "{part.margin:.3g} mm inside their outline"
            ),
            lying_round=(
                "{subject}: a round part bears along a line only: V-blocks must carry it, {part.margin:.3g} mm to either "
                "side of its middle"
            ),
            by_itself=(
                "{subject}: nothing carries it, and no free rest, alone or on risers, reaches it {part.low:.4g} mm above "
                "the table"
            ),
            suspects=("locate.support_margin", "clear.body", "locate.pad_share"),
            turn=120,
        ),
        checked_as=("locate.support_margin",),
    ),
    Rule(
        "locate.support_points",
        "three support points at least, two under a round part",
        hindrance=Hindrance(
            place=110,
            remedy="more rests",
            meaning="a part needs three points of support, of pads or of what it lies on",
            sentence=(
                "{subject}: three points of support are needed (a round part lying: two), {part.low:.4g} mm above the table"
            ),
            turn=120,
        ),
        if_broken="another rest",
    ),
    Rule("locate.side_points", "two side points at least", if_broken="another stop"),
    Rule("locate.end_points", "one end point at least", if_broken="a stop across the side"),
    Rule("locate.chain", "parts do not carry each other in a circle", if_broken=PLAN_MAKERS_FAULT),
    Rule(
        "locate.decided",
        "choices that cost no more were not true enough; what decided, and what it costs",
        finding=Display("what decided", place=20),
    ),
    Rule(
        "locate.root_sum_square",
        "likely locating error at a toleranced point",
        finding=Display("locating error", place=20),
    ),
)
