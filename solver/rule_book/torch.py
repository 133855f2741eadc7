"""Torch and hand: their envelopes, the angles of a weld, samples and tacks."""

from __future__ import annotations

from solver.rule_book.record import OWN_CHOICE, PLAN_MAKERS_FAULT, Display, Hindrance, RelaxationLimit, Rule, Value

TORCH_ANGLES = "handbook range: Modern Welding (Goodheart-Willcox 2013) pp. 68-70"

RULES: tuple[Rule, ...] = (
    Rule(
        "torch.nozzle_diameter",
        "torch capsule diameter",
        Value(20, "mm", 1, 200, "Steel Designers' Manual, 6th ed. (2003), p. 693: 20 mm barrel, 100 mm long"),
        checked_as=("torch.free",),
    ),
    Rule(
        "torch.length",
        "torch capsule length from the stickout on, rounded ends included",
        Value(120, "mm", 1, 1000),
        checked_as=("torch.free",),
    ),
    Rule(
        "torch.hand_diameter",
        "gloved hand: capsule diameter",
        Value(70, "mm", 1, 500),
        checked_as=("hand.free",),
    ),
    Rule(
        "torch.hand_from",
        "where the hand begins, from the stickout on",
        Value(120, "mm", 0, 1000),
        checked_as=("hand.free",),
    ),
    Rule(
        "torch.hand_length",
        "length of the hand capsule, rounded ends included",
        Value(130, "mm", 1, 1000),
        checked_as=("hand.free",),
    ),
    Rule(
        "torch.stickout",
        "weld to nozzle",
        Value(15, "mm", 0, 100, "handbook range 6-25 mm by transfer mode"),
        checked_as=("torch.free", "hand.free"),
    ),
    Rule(
        "torch.work_tolerance",
        "work angle within this of the bisector of the open wedge",
        Value(15, "deg", 0, 45, TORCH_ANGLES),
        hindrance=Hindrance(
            place=40,
            remedy="slimmer or further-reaching pieces, or a wider angle",
            meaning="hardware must leave the torch a direction within the work angle at every sample",
            sentence=(
                "weld {subject}: hardware must leave torch and hand a direction within {torch.work_tolerance:g} deg of "
                "the bisector and {torch.travel_angle:g} deg along the weld, at every sample"
            ),
            suspects=("torch.work_tolerance", "torch.travel_angle"),
            turn=60,
        ),
        relaxation=RelaxationLimit(35, "more", place=30),
        if_broken=PLAN_MAKERS_FAULT,
    ),
    Rule(
        "torch.travel_angle",
        "travel angle, either way along the weld",
        Value(15, "deg", 0, 60, TORCH_ANGLES),
        relaxation=RelaxationLimit(40, "more", place=40),
        if_broken=PLAN_MAKERS_FAULT,
    ),
    Rule(
        "torch.sample",
        "largest spacing of samples along a weld, ends included",
        Value(10, "mm", 0.5, 200, OWN_CHOICE),
        if_broken=PLAN_MAKERS_FAULT,
        finding=Display("the rest of the checks", place=10),
    ),
    Rule(
        "tack.length",
        "length of a tack",
        Value(15, "mm", 1, 200),
        if_broken=PLAN_MAKERS_FAULT,
    ),
    Rule(
        "tack.pitch",
        "tacks are at most this far apart",
        Value(150, "mm", 5, 5000),
        if_broken=PLAN_MAKERS_FAULT,
        finding=Display("the rest of the checks", place=20),
    ),
    Rule(
        "torch.open_side",
        "the two parts leave a side open",
        hindrance=Hindrance(
            place=10,
            remedy="change the joint, the weld's path or its `side`",
            meaning="the parts leave no side of a weld open wider than 30 degrees",
            by_itself=(
                "weld {subject}: at ({at}) as drawn, and {more} more places, no side between {one} and {other} is open "
                "wider than {open_deg:g} deg; no hardware can change that"
            ),
            beyond_stock=True,
        ),
        if_broken="change the joint",
    ),
    Rule(
        "torch.shut_in",
        "parts and table leave torch and hand no direction at some sample of a weld",
        hindrance=Hindrance(
            place=20,
            remedy=("weld it outside the fixture (`in_fixture`: none or tack), allow another side down, or change the weldment"),
            by_itself=(
                "weld {subject}: at {shut} of {samples} samples no torch direction within {torch.work_tolerance:g} deg "
                "of the bisector and {torch.travel_angle:g} deg along the weld leaves torch and hand room past the parts "
                "and the table, {where}; no hardware can change that"
            ),
            suspects=("torch.work_tolerance", "torch.travel_angle"),
            beyond_stock=True,
        ),
        checked_as=("torch.free", "hand.free"),
    ),
    Rule(
        "torch.table",
        ("the table leaves torch and hand no room at some sample of a weld, and nothing carries the weldment high enough"),
        hindrance=Hindrance(
            place=30,
            remedy=("taller rests or V-blocks, another side down, or weld it outside the fixture (`in_fixture`: none or tack)"),
            by_itself=(
                "weld {subject}: at {shut} of {samples} samples the table leaves torch and hand no room; the weldment "
                "would have to lie {higher:.4g} mm higher, and no free rest or V-block, alone or on a riser, carries it"
            ),
            suspects=("torch.work_tolerance", "torch.travel_angle"),
        ),
        checked_as=("torch.free", "hand.free"),
    ),
    Rule(
        "torch.angles",
        "every torch direction keeps its work and travel angle",
        if_broken=PLAN_MAKERS_FAULT,
        finding=Display(
            "bodies, torch and ways", place=30, words="every torch direction keeps its work and travel angle", number=False
        ),
    ),
    Rule(
        "torch.free",
        "the torch strikes nothing",
        if_broken="another torch direction or another place for the piece",
        finding=Display("bodies, torch and ways", place=40, words="the torch strikes nothing at any sample", number=False),
    ),
    Rule(
        "hand.free",
        "the gloved hand strikes nothing",
        if_broken="another torch direction or another place for the piece",
        finding=Display("bodies, torch and ways", place=50, words="the gloved hand strikes nothing at any sample", number=False),
    ),
)
