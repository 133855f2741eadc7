"""Holding: friction, pushes and pulls that are resisted, and how far locators give."""

from __future__ import annotations

from solver.rule_book.record import PLAN_MAKERS_FAULT, PRACTICE, Display, Hindrance, RelaxationLimit, Rule, Value

RULES: tuple[Rule, ...] = (
    Rule(
        "hold.friction",
        "friction, steel on steel, not clean; clamp tips too",
        Value(
            0.15, "-", 0, 1, "low end of the handbook range 0.15-0.30 for steel on steel (Gieck, Engineering Formulas, 7th ed.)"
        ),
        relaxation=RelaxationLimit(0.3, "more", place=120),
        checked_as=("hold.gravity", "hold.handling_n", "hold.shrink_n_per_mm2"),
    ),
    Rule(
        "hold.handling_n",
        "push in each of 14 directions on either part at both ends and the middle of each weld",
        Value(100, "N", 0, 5000),
        hindrance=Hindrance(
            place=200,
            remedy="stronger or more clamps, stiffer stops, or a smaller push",
            meaning="pushes on the parts at the welds must be held",
            sentence=(
                "pushes of {hold.handling_n:g} N and the pull of the tacks, x {clamp.safety:g}, must be held with a "
                "friction of {hold.friction:g} and no stop giving more than {stack.deflection_max:g} mm"
            ),
            suspects=("hold.handling_n", "hold.shrink_n_per_mm2", "hold.friction", "stack.deflection_max", "locate.opposed"),
            turn=10,
        ),
        relaxation=RelaxationLimit(20, "less", place=100),
        if_broken="stronger or more clamps",
        finding=Display("holding", place=20),
    ),
    Rule(
        "hold.shrink_n_per_mm2",
        "pull of a cooling tack over throat x tack length",
        Value(60, "N/mm2", 0, 1000, PRACTICE + ", conservative"),
        relaxation=RelaxationLimit(15, "less", place=110),
        if_broken="stronger or more clamps, shorter tacks",
        finding=Display("holding", place=30),
    ),
    Rule(
        "stack.deflection_max",
        "deflection at a locator's contact under its largest reaction, stack in series",
        Value(0.2, "mm", 0.001, 10),
        relaxation=RelaxationLimit(1, "more", place=90),
        if_broken="a stiffer stop, fewer pieces under it",
        finding=Display("locators' reactions and deflections", place=20),
    ),
    Rule(
        "stack.pieces",
        "at most so many pieces stand on each other, the one that touches the part included",
        Value(3, "-", 1, 5),
        if_broken="fewer, taller pieces",
    ),
    Rule(
        "hold.gravity",
        "parts at rest under gravity and all clamps are in balance",
        if_broken="more supports",
        finding=Display("holding", place=10),
    ),
    Rule(
        "hold.decided",
        "choices that cost no more did not hold; the load case that decided, and what holding costs",
        finding=Display("what decided", place=10),
    ),
    Rule(
        "stack.reaction",
        "largest reaction of a locator's contact",
        finding=Display("locators' reactions and deflections", place=10),
    ),
    Rule(
        "load.stays",
        "after this load step everything that is in stays put",
        finding=Display("loading by hand", place=10),
    ),
    Rule(
        "load.by_hand",
        "a hand holds this part until the clamp named is shut",
        if_broken=PLAN_MAKERS_FAULT,
        finding=Display("loading by hand", place=20),
    ),
    Rule("load.mass", "what is lifted weighs what the load step says, and is heavy if it says so", if_broken=PLAN_MAKERS_FAULT),
)
