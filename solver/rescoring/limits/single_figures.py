"""Limits on one figure each: a distance, a share, a count that must reach the rule's number, or stay within it."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Any, Literal

from solver.checks.tolerances import CLEARANCE_SLACK
from solver.plans import Finding
from solver.rescoring.limits.limit_kind import ROUNDED, LimitKind, Measurement, Rows, Trespass, TurningPoint
from solver.rule_book.book import RuleBook

NEAREST = 12
"""So many pairs of bodies are kept, the nearest."""


@dataclass(frozen=True, slots=True)
class Figure:
    """How a figure is judged: from which side, with what slack, and whether the limit is a share of a size of its own."""

    way: Literal["least", "most"]
    slack: float
    share: bool = False


FIGURES: Mapping[str, Figure] = {
    "clear.body": Figure("least", CLEARANCE_SLACK),
    "clear.table_edge": Figure("most", 1e-6),
    "locate.pad_share": Figure("least", 1e-3, share=True),
    "clamp.pad_share": Figure("least", 1e-3, share=True),
    "locate.condition_max": Figure("most", 1e-6),
    "locate.tolerance_share": Figure("most", 1e-6, share=True),
    "clamp.over_support": Figure("most", 1e-3),
    "stack.pieces": Figure("most", 0.0),
    "way.lift": Figure("least", 1e-6),
}
"""The rules whose checks give one figure against one limit, which is the rule's number, or that share of a size."""


def measure(measured: Measurement) -> list[list[Any]]:
    """Return rule, subject, figure, the size its limit is a share of (1: none), unit."""
    return [_row(finding, FIGURES[rule]) for rule in FIGURES for finding in _kept(rule, measured)]


def _kept(rule: str, measured: Measurement) -> list[Finding]:
    found = [finding for finding in measured.by_rule.get(rule, ()) if finding.value is not None and finding.limit is not None]
    return sorted(found, key=lambda finding: finding.value or 0.0)[:NEAREST] if rule == "clear.body" else found


def _row(finding: Finding, figure: Figure) -> list[Any]:
    return [finding.rule, finding.subject, finding.value, finding.limit if figure.share else 1.0, finding.unit]


def judge(rows: Rows, before: RuleBook, after: RuleBook) -> Iterator[Trespass]:
    """Yield the figures that do not keep to changed rules."""
    for rule, subject, value, size, unit in rows:
        number = after[rule]
        if number == before[rule] or (FIGURES[rule].share and number <= 0):
            continue
        figure, limit = FIGURES[rule], number * size
        kept = value >= limit - figure.slack if figure.way == "least" else value <= limit + figure.slack
        if not kept:
            yield Trespass(rule, subject, value, limit, unit)


def turning_points(rows: Rows, rules: RuleBook, rule: str) -> Iterator[TurningPoint]:
    """Yield where each figure just keeps to the rule."""
    for name, subject, value, size, _ in rows:
        if name == rule and size > 0:
            yield TurningPoint(value / size, (FIGURES[rule].slack + ROUNDED) / size, subject)


KIND = LimitKind("figures", tuple(FIGURES), measure, judge, turning_points)
