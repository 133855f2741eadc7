"""Ways in and out, the order of loading, and lifting by hand."""

from __future__ import annotations

from solver.rule_book.record import PLAN_MAKERS_FAULT, Display, Hindrance, Rule, Value

RULES: tuple[Rule, ...] = (
    Rule(
        "way.lift",
        "ways in and out are at least this long in all, or until clear of all hardware",
        Value(150, "mm", 1, 5000),
        if_broken=PLAN_MAKERS_FAULT,
        finding=Display("the rest of the checks", place=40),
    ),
    Rule(
        "way.clear",
        "gap while moving, except between things that touch in the final place",
        Value(1, "mm", 0, 50),
        if_broken=PLAN_MAKERS_FAULT,
        finding=Display(
            "bodies, torch and ways",
            place=60,
            words="every part goes in and the weldment comes out past everything",
            number=False,
        ),
    ),
    Rule(
        "lift.one_person_kg",
        "heavier parts and weldments get a finding",
        Value(23, "kg", 1, 1000, "NIOSH load constant, DHHS (NIOSH) 94-110"),
        if_broken="lift it with help; never a reason to refuse",
        finding=Display("lifting"),
    ),
    Rule(
        "way.in",
        "a part needs a way in past the hardware and the parts already in",
        hindrance=Hindrance(
            place=220,
            remedy="lower stops, or stops on other sides",
            sentence=(
                "{subject}: a way in is needed past the hardware and the parts already in: from straight above, from the "
                "side or over an edge, {way.lift:g} mm"
            ),
            in_the_way="; {items} {stand} in the plainest and {have} to stand while parts go in",
            turn=50,
        ),
        checked_as=("way.clear", "way.lift"),
        finding=Display("ways", place=10, words="the way in of a part that is not lowered straight"),
    ),
    Rule(
        "way.out",
        "the finished weldment needs a way out past the stops",
        hindrance=Hindrance(
            place=230,
            remedy="lower stops, or removable pieces",
            sentence=("the finished weldment needs a way out past the hardware with the clamps open: up, or lifted and slid"),
            in_the_way="; {items} {stand} in the plainest and may not be pulled",
            turn=50,
        ),
        checked_as=("way.clear", "way.lift"),
        finding=Display("ways", place=30, words="the way out of the finished weldment"),
    ),
    Rule("way.moves", "a way has moves, each of a distance above 0", if_broken=PLAN_MAKERS_FAULT),
    Rule(
        "load.order",
        "every part goes in once, after those that carry it",
        hindrance=Hindrance(
            place=50,
            remedy="allow another side down, or change the weldment",
            meaning="parts lock each other: in no order does every part find a way in past those already there",
            by_itself=(
                "{locked} lock each other: none of them has a way in or out past the others, lowered straight, from the "
                "side or over an edge, in any lie allowed; no hardware can change that"
            ),
            beyond_stock=True,
        ),
        if_broken=PLAN_MAKERS_FAULT,
    ),
    Rule("load.then_close", "every clamp is shut once, after the parts it presses are in", if_broken=PLAN_MAKERS_FAULT),
    Rule("unload.open", "every clamp is opened once", if_broken=PLAN_MAKERS_FAULT),
    Rule(
        "unload.pull",
        "what is pulled locates nothing or may be pulled, carries nothing that stays, and has no part over it",
        if_broken=PLAN_MAKERS_FAULT,
        finding=Display("ways", place=20),
    ),
)
