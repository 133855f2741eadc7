"""Several equal stations on one table."""

from __future__ import annotations

from solver.rule_book.record import PLAN_AGAIN, PLAN_MAKERS_FAULT, Display, Hindrance, Rule

RULES: tuple[Rule, ...] = (
    Rule(
        "stations.beside",
        "as many equal stations as asked for stand beside each other on one table",
        hindrance=Hindrance(
            place=65,
            remedy="fewer stations, or a larger table",
            sentence=(
                "table {subject}: the stations asked for do not stand beside each other there, each with its torch and its ways"
            ),
            turn=120,
        ),
        checked_as=("clear.body", "way.clear", "torch.free", "hand.free"),
    ),
    Rule("stations.count", "as many stations as asked, and every entry at one of them", if_broken=PLAN_AGAIN),
    Rule(
        "stations.equal",
        "every station is the first one shifted by whole pitches, or turned half a turn as well, on as much of the slab",
        if_broken=PLAN_MAKERS_FAULT,
        finding=Display("the rest of the checks", place=45),
    ),
)
