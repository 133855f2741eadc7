"""Times of setting up and of a cycle, and what an hour costs."""

from __future__ import annotations

from solver.rule_book.record import SHOP, Rule, Value

RULES: tuple[Rule, ...] = (
    Rule(
        "time.pick_s",
        "pick each piece",
        Value(6, "s", 0, 3600),
        checked_as=("cost.setup_s",),
    ),
    Rule(
        "time.walk_s",
        "walk, once a setup",
        Value(60, "s", 0, 36000),
        checked_as=("cost.setup_s",),
    ),
    Rule(
        "time.stack_s",
        "each piece standing on another",
        Value(15, "s", 0, 3600),
        checked_as=("cost.setup_s",),
    ),
    Rule(
        "time.check_s",
        "check each part",
        Value(45, "s", 0, 3600),
        checked_as=("cost.setup_s",),
    ),
    Rule(
        "time.load_s",
        "load and push each part",
        Value(8, "s", 0, 3600),
        checked_as=("cost.cycle_s",),
    ),
    Rule(
        "time.unload_s",
        "unload the weldment",
        Value(8, "s", 0, 3600),
        checked_as=("cost.cycle_s",),
    ),
    Rule(
        "time.repeat_ratio",
        "share of the setup time when the plan has been set before",
        Value(0.6, "-", 0, 1),
        checked_as=("cost.setup_s",),
    ),
    Rule(
        "time.round_share",
        "share of the cycle spent once a round whatever the number of stations",
        Value(0.4, "share", 0, 1),
        checked_as=("cost.cycle_s",),
    ),
    Rule(
        "rate.labour_cents_per_hour",
        "labour",
        Value(5500, "cents/h", 0, 1_000_000, SHOP),
        checked_as=("cost.setup_cents", "cost.cycle_cents"),
    ),
)
