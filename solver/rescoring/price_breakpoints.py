"""How far a time, a rate or a weight may move before another alternative of a plan becomes the cheapest: exact, not scanned.

Two prices can only change places near where their trends cross, as near as rounding lets them; there, and there alone, every
step of either is looked at in turn.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from fractions import Fraction
from heapq import merge
from itertools import islice

from solver.cost import Rules, exact
from solver.rescoring.price_steps import PriceSteps
from solver.rescoring.score import Score
from solver.rule_book import VALUES

DIGITS = 8
"""Numbers on either side of a breakpoint are told with at most so many decimals, as a rule can have them."""
MOST_STEPS = 5000
"""So many steps of two prices are looked at; prices that run beside each other for longer are told as not known beyond."""


@dataclass(frozen=True, slots=True)
class PriceBreakpoint:
    """Where the cheapest alternative changes.

    Parameters
    ----------
    value : Fraction
        The number of the rule at which it does.
    reached : bool
        Whether it does at that very number, not only beyond it.
    last, beyond : Fraction
        A number just before at which nothing has changed, and one near by at which another is cheapest, as a rule can have them.
    first : int
        The rank of that one.
    """

    value: Fraction
    reached: bool
    last: Fraction
    beyond: Fraction
    first: int


@dataclass(frozen=True, slots=True)
class PriceRange:
    """Below and above a rule's number: where the cheapest alternative changes, None if nowhere within the legal range.

    `searched_low` and `searched_high` tell how far was looked where that is less.
    """

    rule: str
    number: float
    low: PriceBreakpoint | None
    high: PriceBreakpoint | None
    searched_low: float | None = None
    searched_high: float | None = None


def price_range(alternatives: Sequence[Score], rules: Rules, rule: str) -> PriceRange:
    """Return how far a rule that moves prices may move before another than the first alternative is the cheapest.

    Of equal prices the one of the lower rank is first.
    """
    steps = [PriceSteps.of(each.bill, rules, rule) for each in alternatives]
    here, value = exact(rules[rule]), VALUES[rule]
    found = [_towards(steps, alternatives, here, exact(end), way) for end, way in ((value.low, -1), (value.high, 1))]
    (low, to_low), (high, to_high) = found
    return PriceRange(rule, float(here), low, high, to_low, to_high)


def _towards(
    steps: Sequence[PriceSteps], alternatives: Sequence[Score], here: Fraction, end: Fraction, way: int
) -> tuple[PriceBreakpoint | None, float | None]:
    found: list[_Overtaking] = []
    searched: list[Fraction] = []
    for other in steps[1:]:
        one = _overtaking(steps[0], other, here, end, way)
        if isinstance(one, Fraction):
            searched.append(one)
        elif one is not None:
            found.append(one)
    nearest = min(found, key=lambda each: (way * each.value, not each.reached), default=None)
    ends = [far for far in searched if nearest is None or way * far < way * nearest.value]
    told = None if not ends else float(min(ends) if way > 0 else max(ends))
    if nearest is None:
        return None, told
    ranks = [each.rank for each in alternatives]

    def first(number: Fraction) -> int:
        return min(zip((each.total(number) for each in steps), ranks, strict=True))[1]

    short = nearest.value - (Fraction(way, 10**DIGITS) if nearest.reached else 0)
    last = here if way * (written := _written(short, -way)) < way * here else written
    tried = (_written(nearest.beyond, side, digits) for digits in range(DIGITS + 1) for side in (-way, way))
    fits = (each for each in (nearest.value, *tried) if _is_number(each) and way * each >= way * nearest.value)
    beyond = next((each for each in fits if way * each <= way * end and first(each) != ranks[0]), nearest.beyond)
    return PriceBreakpoint(nearest.value, nearest.reached, last, beyond, first(beyond)), told


def _written(number: Fraction, way: int, digits: int = DIGITS) -> Fraction:
    """Return a number with so many decimals, rounded up (`way` 1) or down (-1)."""
    scale = 10**digits
    return Fraction(math.ceil(number * scale) if way > 0 else math.floor(number * scale), scale)


def _is_number(number: Fraction) -> bool:
    """Return whether a number can be given to a rule as it is."""
    return exact(float(number)) == number


@dataclass(frozen=True, slots=True)
class _Overtaking:
    value: Fraction
    reached: bool
    last: Fraction
    beyond: Fraction


def _overtaking(first: PriceSteps, other: PriceSteps, here: Fraction, end: Fraction, way: int) -> _Overtaking | Fraction | None:
    """Return where another price falls below the first one's; None if nowhere up to the end, how far was looked if not so far."""
    if _moves_alike(first, other):
        return None
    trend = (other.trend.slope - first.trend.slope, other.trend.start - first.trend.start)
    off = first.rounding + other.rounding
    start = here
    if trend[0] * here + trend[1] > off:
        if trend[0] * way >= 0:
            return None
        start = (off - trend[1]) / trend[0]
        if way * start > way * end:
            return None
        start = here if way * start < way * here else start
    last = start
    for step, between in islice(_looked_at(first, other, start, end, way), MOST_STEPS):
        if _cheaper(other, first, step):
            return _Overtaking(step, True, last, step)
        last = step
        if between is not None:
            if _cheaper(other, first, between):
                return _Overtaking(last, False, last, between)
            last = between
    return None if way * last >= way * end else last


def _merged(first: PriceSteps, other: PriceSteps, start: Fraction, way: int) -> Iterator[Fraction]:
    key = (lambda each: each) if way > 0 else (lambda each: -each)
    before = None
    for step in merge(first.steps(start, way), other.steps(start, way), key=key):
        if step != before:
            yield step
        before = step


def _looked_at(
    first: PriceSteps, other: PriceSteps, start: Fraction, end: Fraction, way: int
) -> Iterator[tuple[Fraction, Fraction | None]]:
    """Yield each step with a number between it and the next one, the start first, up to the end, both included."""
    step = start
    for following in _merged(first, other, start, way):
        if way * following > way * end:
            break
        yield step, (step + following) / 2
        step = following
    if step != end:
        yield step, (step + end) / 2
    yield end, None


def _cheaper(other: PriceSteps, first: PriceSteps, number: Fraction) -> bool:
    return other.total(number) < first.total(number)


def _moves_alike(first: PriceSteps, other: PriceSteps) -> bool:
    """Return whether a rule moves two prices by the same steps."""
    rated = bool(first.cents_per_s.slope)
    paid = [sorted((line.slope, line.start, many) for line, many in each.paid if rated or line.slope) for each in (first, other)]
    return paid[0] == paid[1] and sorted(first.weights) == sorted(other.weights)
