"""An alternative's price along the line of one rule: exact everywhere, with the places where it may step.

Seconds are linear in any one rule and are rounded up; cents are linear in seconds and in the rate and are rounded half up. So a
price is a step function, and its steps lie where one of these linear forms meets a whole number, or half of one.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from fractions import Fraction
from heapq import merge
from itertools import count

from solver.cost import Bill, Rules, exact, half_up, priced

HALF = Fraction(1, 2)


@dataclass(frozen=True, slots=True)
class Line:
    """A linear form of the rule's number."""

    slope: Fraction
    start: Fraction

    def at(self, number: Fraction) -> Fraction:
        """Return its value."""
        return self.slope * number + self.start

    def wholes(self, number: Fraction, way: int) -> Iterator[Fraction]:
        """Yield the numbers beyond one, upwards (`way` 1) or downwards (-1), at which its value is whole."""
        if not self.slope:
            return
        upwards = (self.slope > 0) == (way > 0)
        value = self.at(number)
        first = math.floor(value) + 1 if upwards else math.ceil(value) - 1
        for whole in count(first, 1 if upwards else -1):
            yield (whole - self.start) / self.slope


@dataclass(frozen=True, slots=True)
class OneRule:
    """A rule book in which one rule has another number, exact."""

    rules: Rules
    rule: str
    number: Fraction

    def __getitem__(self, name: str, /) -> float | Fraction:
        return self.number if name == self.rule else self.rules[name]


@dataclass(frozen=True, slots=True)
class PriceSteps:
    """A price along the line of one rule.

    Parameters
    ----------
    paid : tuple of (Line, int)
        Seconds before they are rounded up, and how often they are paid.
    cents_per_s : Line
    weights : tuple of (int, Fraction)
        So many times the rule's number over a divisor, each rounded half up.
    rest_cents : int
        What the rule has no part in.
    """

    paid: tuple[tuple[Line, int], ...]
    cents_per_s: Line
    weights: tuple[tuple[int, Fraction], ...]
    rest_cents: int

    @classmethod
    def of(cls, bill: Bill, rules: Rules, rule: str) -> PriceSteps:
        """Return the price of what a bill holds along the line of a rule."""
        nought, one = (_seconds(bill, OneRule(rules, rule, Fraction(number))) for number in (0, 1))
        quantities = (1, bill.quantity, *(many for run in bill.runs for many in (1, run.quantity)))
        paid = tuple((Line(high - low, low), many) for low, high, many in zip(nought, one, quantities, strict=True))
        per_s = exact(rules["rate.labour_cents_per_hour"]) / 3600
        rate = Line(Fraction(1, 3600), Fraction(0)) if rule == "rate.labour_cents_per_hour" else Line(Fraction(0), per_s)
        weights = _weights(bill).get(rule, ())
        steps = cls(paid, rate, tuple(weights), 0)
        here = exact(rules[rule])
        return cls(paid, rate, tuple(weights), priced(bill, rules)[0].total_cents - steps.total(here))

    def total(self, number: Fraction) -> int:
        """Return the price at a number of the rule, cents."""
        per_s = self.cents_per_s.at(number)
        labour = sum(half_up(many * math.ceil(line.at(number)) * per_s) for line, many in self.paid)
        return labour + sum(many * half_up(number / over) for many, over in self.weights) + self.rest_cents

    def steps(self, number: Fraction, way: int) -> Iterator[Fraction]:
        """Yield the numbers beyond one at which the price may step, in their order."""
        lines = [line for line, _ in self.paid]
        if self.cents_per_s.slope:
            lines = [Line(many * math.ceil(line.start) * self.cents_per_s.slope, HALF) for line, many in self.paid]
        lines += [Line(1 / over, HALF) for _, over in self.weights]
        key: Callable[[Fraction], Fraction] = (lambda each: each) if way > 0 else (lambda each: -each)
        yield from merge(*(line.wholes(number, way) for line in lines), key=key)

    @property
    def trend(self) -> Line:
        """The price without its rounding."""
        slope = sum((Fraction(many) / over for many, over in self.weights), Fraction(0))
        start = Fraction(self.rest_cents)
        for line, many in self.paid:
            if self.cents_per_s.slope:
                slope += many * math.ceil(line.start) * self.cents_per_s.slope
            elif line.slope:
                slope += many * line.slope * self.cents_per_s.start
                start += many * line.start * self.cents_per_s.start
            else:
                start += half_up(many * math.ceil(line.start) * self.cents_per_s.start)
        return Line(slope, start)

    @property
    def rounding(self) -> Fraction:
        """How far the price may be off its trend, cents."""
        off = sum((many * HALF for many, _ in self.weights), Fraction(0))
        for line, many in self.paid:
            if self.cents_per_s.slope:
                off += HALF
            elif line.slope:
                off += many * self.cents_per_s.start + HALF
        return off


def _seconds(bill: Bill, rules: Rules) -> tuple[Fraction, ...]:
    """Return the seconds of setup and cycle, and of each run's, before they are rounded up."""
    rates = bill.tariff(rules)
    found = [
        (rates.setup_fixed_s + bill.pieces_s(rules)) * rates.setup_share,
        (rates.cycle_fixed_s + bill.round_s) * rates.cycle_share,
    ]
    for run in bill.runs:
        picking = run.picked * exact(rules["time.pick_s"]) + run.stacked * exact(rules["time.stack_s"])
        found += [rates.check_s + picking + run.hands_s, (rates.cycle_fixed_s + run.clamps_s + run.pulled_s) * rates.cycle_share]
    return tuple(found)


def _weights(bill: Bill) -> dict[str, list[tuple[int, Fraction]]]:
    return {
        "weights.adjustable": [(bill.settings, Fraction(1))] if bill.settings else [],
        "weights.moved_piece": [(bill.moved, Fraction(1))] if bill.moved else [],
        "weights.scarce": [(many, Fraction(free)) for free, many in bill.free.items()],
    }
