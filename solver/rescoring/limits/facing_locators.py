"""Locators that face each other, and rings whose parts are located together."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from solver.checks.scene.rings import rings_together
from solver.rescoring.limits.limit_kind import LimitKind, Measurement, Rows, Trespass, TurningPoint
from solver.rule_book.book import RuleBook

OPPOSED, TOGETHER = "locate.opposed", "locate.together"
LETS = 1.0


def _pairs(measured: Measurement) -> list[list[Any]]:
    """Return the two pieces and their play, mm."""
    return [[finding.subject, finding.value] for finding in measured.by_rule.get(OPPOSED, ())]


def _face_each_other(rows: Rows, before: RuleBook, after: RuleBook) -> Iterator[Trespass]:
    if after[OPPOSED] < LETS:
        for subject, play in rows:
            yield Trespass(OPPOSED, subject, play, None, "mm")


def _turns(rows: Rows, rules: RuleBook, rule: str) -> Iterator[TurningPoint]:
    if rows:
        yield TurningPoint(LETS)


def _rings(measured: Measurement) -> list[list[Any]]:
    """Return the rings that are located together where the rule book lets them."""
    return [[ring.subject] for scene in measured.strictest for ring in rings_together(scene)]


def _taken_apart(rows: Rows, before: RuleBook, after: RuleBook) -> Iterator[Trespass]:
    if (before[TOGETHER] >= LETS) != (after[TOGETHER] >= LETS):
        for (subject,) in rows:
            yield Trespass(TOGETHER, subject, why="its parts would be located in another way, which is not measured")


FACING = LimitKind("facing locators", (OPPOSED,), _pairs, _face_each_other, _turns)
RINGS = LimitKind("rings", (TOGETHER,), _rings, _taken_apart, _turns)
