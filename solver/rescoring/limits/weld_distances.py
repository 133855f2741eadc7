"""How near hardware comes to the paths of welds; what locates may come nearer."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from solver.checks.tolerances import CLEARANCE_SLACK
from solver.rescoring.limits.limit_kind import LimitKind, Measurement, Rows, Trespass, TurningPoint
from solver.rule_book.book import RuleBook

WIDE, TIGHT = "clear.weld", "clear.weld_locator"
REACHES = 1e-6
"""A locator that is nearer than other hardware may be must reach its own distance, short by this at most, mm."""


def measure(measured: Measurement) -> list[list[Any]]:
    """Return weld and piece, its distance, mm, and whether it locates, of every piece within the largest legal distance."""
    return [
        [finding.subject, finding.value, rule == TIGHT]
        for rule in (WIDE, TIGHT)
        for finding in measured.by_rule.get(rule, ())
        if finding.value is not None
    ]


def judge(rows: Rows, before: RuleBook, after: RuleBook) -> Iterator[Trespass]:
    """Yield the pieces that are too near.

    Distances above `clear.weld` are measured by nobody who checks: a locator's own distance that is greater cannot be judged.
    """
    wide, tight = after[WIDE], after[TIGHT]
    for subject, near, locates in rows:
        if not locates:
            if near < wide - CLEARANCE_SLACK:
                yield Trespass(WIDE, subject, near, wide, "mm")
        elif near >= wide and near < tight:
            yield Trespass(TIGHT, subject, near, tight, "mm", f"it is asked for more than {WIDE}, and nearer is not measured")
        elif near < tight - CLEARANCE_SLACK or (near < wide - CLEARANCE_SLACK and near < tight - REACHES):
            yield Trespass(TIGHT, subject, near, tight, "mm")


def turning_points(rows: Rows, rules: RuleBook, rule: str) -> Iterator[TurningPoint]:
    """Yield how near each piece is that the rule is about."""
    for subject, near, locates in rows:
        if locates or rule == WIDE:
            yield TurningPoint(near, CLEARANCE_SLACK, subject)


KIND = LimitKind("weld distances", (WIDE, TIGHT), measure, judge, turning_points)
