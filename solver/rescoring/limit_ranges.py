"""How far a limit may move before an alternative is not allowed any more, or before only a check tells whether it is."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from solver.rescoring.limits import KINDS
from solver.rescoring.limits.limit_kind import Trespass, TurningPoint
from solver.rescoring.rescored import judged
from solver.rescoring.score import Score
from solver.rule_book import VALUES
from solver.rule_book.book import RuleBook

STEP = 1e-9
"""A number is tried so far beyond where a judgement may turn, as a share of it."""

LIMITS = tuple(name for name in VALUES if any(name in kind.rules for kind in KINDS))
"""The rules that limit what a fixture may be."""


@dataclass(frozen=True, slots=True)
class LimitEnd:
    """The last number of a rule that is known to allow an alternative, and what lies beyond.

    `beyond` is a number just past it, past the checker's slack as well; `trespass` is what is found there.
    """

    value: float
    beyond: float
    trespass: Trespass


@dataclass(frozen=True, slots=True)
class LimitRange:
    """Below and above a rule's number: where an alternative stops being allowed; None if nowhere within the legal range."""

    rule: str
    number: float
    low: LimitEnd | None
    high: LimitEnd | None


def limit_range(score: Score, rules: RuleBook, rule: str) -> LimitRange:
    """Return how far a limit may move, all other rules as they are."""
    return LimitRange(rule, rules[rule], _end(score, rules, rule, -1), _end(score, rules, rule, 1))


def _end(score: Score, rules: RuleBook, rule: str, way: int) -> LimitEnd | None:
    here, legal = rules[rule], VALUES[rule]
    points = [(here, here), *((point.value, point.value + way * point.beyond) for point in _points(score, rules, rule))]
    tried = sorted(
        {(way * (past + way * max(abs(past), 1.0) * STEP), way * value) for value, past in points if way * past >= way * here}
    )
    for far, value in tried:
        beyond = way * far
        if not legal.low <= beyond <= legal.high:
            return None
        after = RuleBook({**rules.changes, rule: beyond})
        found = next(judged(score, rules, after, {rule: beyond}), None)
        if found is not None:
            kept = way * value if far > way * here else here
            return LimitEnd(max(kept, here) if way > 0 else min(kept, here), beyond, found)
    return None


def _points(score: Score, rules: RuleBook, rule: str) -> Iterator[TurningPoint]:
    for measured in score.measured.values():
        for kind in KINDS:
            if rule in kind.rules:
                yield from kind.turning_points(measured.get(kind.name, ()), rules, rule)
