"""Whether a part's centre of gravity lies far enough inside the outline of its supports."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from solver.checks.arithmetic import plane
from solver.rescoring.limits.limit_kind import ROUNDED, LimitKind, Measurement, Rows, Trespass, TurningPoint
from solver.rule_book.book import RuleBook

MARGIN, RATIO = "locate.support_margin", "locate.support_margin_ratio"
SLACK = 1e-3


def measure(measured: Measurement) -> list[list[Any]]:
    """Return part, how far inside its centre of gravity lies, its own least level width, mm."""
    widths = {
        part.id: float(plane.least_width(part.block.corners[:, :2])) for scene in measured.scenes for part in scene.parts.values()
    }
    return [[finding.subject, finding.value, widths[finding.subject]] for finding in measured.by_rule.get(MARGIN, ())]


def judge(rows: Rows, before: RuleBook, after: RuleBook) -> Iterator[Trespass]:
    """Yield the parts whose centre of gravity lies too near the outline."""
    for part, value, width in rows:
        limit = min(after[MARGIN], after[RATIO] * width)
        if value < limit - SLACK:
            yield Trespass(MARGIN, part, value, limit, "mm")


def turning_points(rows: Rows, rules: RuleBook, rule: str) -> Iterator[TurningPoint]:
    """Yield where each part just keeps to the rule."""
    for part, value, width in rows:
        size = 1.0 if rule == MARGIN else width
        if size > 0:
            yield TurningPoint(value / size, (SLACK + ROUNDED) / size, part)


KIND = LimitKind("balance", (MARGIN, RATIO), measure, judge, turning_points)
