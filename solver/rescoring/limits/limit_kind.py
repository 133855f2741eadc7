"""What every kind of limit has: what is measured of a fixture once, and how that is judged under other rules."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import Any, Literal

from solver.checks.scene.scene import Scene
from solver.plans import Alternative, Finding
from solver.rule_book.book import RuleBook

Row = Sequence[Any]
Rows = Sequence[Row]
"""Plain values, a list a row, so that they can be kept as they are."""
Ground = Literal["broken", "unjudged"]


ROUNDED = 1e-6
"""Figures of findings are rounded to so much: nearer to its edge a judgement may be either way."""


@dataclass(frozen=True, slots=True)
class Trespass:
    """A limit that a fixture does not keep, or of which that cannot be said without a check: then `why` says so.

    `value` was measured, `limit` is what the rules ask of it; None where there is no number.
    """

    rule: str
    subject: str = ""
    value: float | None = None
    limit: float | None = None
    unit: str = ""
    why: str = ""

    @property
    def ground(self) -> Ground:
        """Whether the limit is broken, or cannot be judged."""
        return "unjudged" if self.why else "broken"


@dataclass(frozen=True, slots=True)
class TurningPoint:
    """A number of a rule at which a fixture just keeps to it; `beyond` is how much further nothing is refused yet."""

    value: float
    beyond: float = 0.0
    subject: str = ""


@dataclass(frozen=True)
class Measurement:
    """What is measured on: a checked alternative, its scenes, and what the checks found under rules that ask the most."""

    alternative: Alternative
    scenes: Sequence[Scene]
    strictest: Sequence[Scene]
    found: Sequence[Finding]

    @cached_property
    def by_rule(self) -> dict[str, list[Finding]]:
        """The findings by rule."""
        sorted_out: dict[str, list[Finding]] = {}
        for finding in self.found:
            sorted_out.setdefault(finding.rule, []).append(finding)
        return sorted_out


@dataclass(frozen=True)
class LimitKind:
    """A kind of limit.

    Parameters
    ----------
    name : str
        What its rows are kept under.
    rules : tuple of str
        The rules whose numbers it judges by.
    measure : callable
        Returns the rows of a fixture.
    judge : callable
        Given rows, the rules the plan was made with and others, yields what those would not allow, or what cannot be said.
    turning_points : callable
        Given rows, rules and one of `rules`, yields where on that rule's line the judgement may turn.
    """

    name: str
    rules: tuple[str, ...]
    measure: Callable[[Measurement], list[list[Any]]]
    judge: Callable[[Rows, RuleBook, RuleBook], Iterator[Trespass]]
    turning_points: Callable[[Rows, RuleBook, str], Iterator[TurningPoint]]


def never(rows: Rows, rules: RuleBook, rule: str) -> Iterator[TurningPoint]:
    """Yield nothing: the judgement turns where the rule is changed at all."""
    return iter(())
