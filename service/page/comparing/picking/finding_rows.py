"""Findings as rows: each with its value and its limit in the units that are liked, and how near the one comes to the other."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Literal, get_args

from service.page.wording import number
from service.text import length, money
from solver.plans import Finding
from solver.weldment import LengthUnit

Shown = Literal["failed", "near", "all"]
SHOWN: tuple[Shown, ...] = get_args(Shown)
NEAR = 0.9
"""A value that takes this share of what is allowed is near its limit (our own choice)."""
NOT_COMPUTED = "not_computed"


@dataclass(frozen=True, slots=True)
class FindingRow:
    """One finding: `share` is how much of what is allowed the value takes, 1 at the limit, None where there is no limit."""

    rule: str
    subject: str
    value: str
    limit: str
    share: float | None
    ok: bool
    text: str

    @property
    def near(self) -> bool:
        """Whether it holds, and little more would break it."""
        return self.ok and self.share is not None and self.share >= NEAR

    @property
    def bar(self) -> float:
        """The share as the length of a bar, 0 to 100."""
        return 0.0 if self.share is None else round(100 * min(1.0, self.share), 1)


def finding_rows(findings: Iterable[Finding], units: LengthUnit, currency: str) -> list[FindingRow]:
    """Return every finding that says something of the plan; what was not computed has its own list."""
    return [_row(each, units, currency) for each in findings if each.rule != NOT_COMPUTED]


def not_computed(findings: Iterable[Finding]) -> list[tuple[str, str]]:
    """Return what no check covers: its name and a sentence."""
    return [(each.subject, each.text) for each in findings if each.rule == NOT_COMPUTED]


def picked_out(rows: Sequence[FindingRow], shown: Shown) -> list[FindingRow]:
    """Return the rows that are asked for."""
    if shown == "all":
        return list(rows)
    return [row for row in rows if (row.near if shown == "near" else not row.ok)]


def about(rows: Iterable[FindingRow], id: str) -> list[FindingRow]:
    """Return the rows about a piece, a part or a weld."""
    return [row for row in rows if f" {id} " in f" {row.subject} "]


def _row(each: Finding, units: LengthUnit, currency: str) -> FindingRow:
    value, limit = (_figure(number, each.unit, units, currency) for number in (each.value, each.limit))
    return FindingRow(each.rule, each.subject, value, limit, _share(each), each.ok, each.text)


def _figure(value: float | None, unit: str, units: LengthUnit, currency: str) -> str:
    if value is None or not math.isfinite(value):
        return ""
    if unit == "mm":
        return length(value, units)
    if unit == "cents":
        return money(round(value), currency)
    return f"{number(value, 3)} {unit}".strip()


def _share(each: Finding) -> float | None:
    """Return how much of what is allowed a value takes: what holds lies on the allowed side of its limit, whichever that is."""
    value, limit = each.value, each.limit
    if value is None or limit is None or not (math.isfinite(value) and math.isfinite(limit)):
        return None
    if value == limit:
        return 1.0
    at_most = (value < limit) == each.ok
    part, whole = (value, limit) if at_most else (limit, value)
    return None if whole <= 0 or part < 0 else part / whole
