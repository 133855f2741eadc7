"""What one kit costs at any quantity."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction

from solver.cost import exact
from solver.rule_book.book import RuleBook


@dataclass(frozen=True, slots=True)
class CycleRate:
    """What seconds of cycles cost, exactly: `cents` for every `seconds`, both whole."""

    cents: int
    seconds: int

    @classmethod
    def of(cls, rules: RuleBook) -> CycleRate:
        """Return the rate of a rule book."""
        per_s = exact(rules["rate.labour_cents_per_hour"]) / 3600
        return cls(per_s.numerator, per_s.denominator)

    @property
    def per_s(self) -> Fraction:
        """Cents a second."""
        return Fraction(self.cents, self.seconds)

    def priced(self, seconds: int) -> int:
        """Return what so many seconds cost, cents, rounded half up."""
        return (2 * seconds * self.cents + self.seconds) // (2 * self.seconds)


@dataclass(frozen=True, slots=True)
class KitPrice:
    """The price of one kit as a line over quantity.

    Parameters
    ----------
    fixed_cents : int
        What it costs whatever the quantity: setup, tie-up, purchases and weights, cents.
    cycle_s : int
        Seconds a cycle.
    weights_cents : int
        The weights among `fixed_cents`: no money, they only rank.
    source : str
        What names the plan it comes from.
    rank : int
        Its rank there.
    """

    fixed_cents: int
    cycle_s: int
    weights_cents: int = 0
    source: str = ""
    rank: int = 1

    def total(self, quantity: int, rate: CycleRate) -> int:
        """Return the total at a quantity, cents."""
        return self.fixed_cents + rate.priced(quantity * self.cycle_s)

    def money(self, quantity: int, rate: CycleRate) -> int:
        """Return what is to be paid at a quantity, cents: the total without weights."""
        return self.total(quantity, rate) - self.weights_cents

    def exact(self, quantity: int, rate: CycleRate) -> Fraction:
        """Return the total before it is rounded, cents."""
        return self.fixed_cents + quantity * self.cycle_s * rate.per_s

    def last_before(self, other: KitPrice, rate: CycleRate) -> int:
        """Return the largest quantity at which this is no dearer, before rounding, than a kit of shorter cycle; 0 if none."""
        saved = (self.cycle_s - other.cycle_s) * rate.per_s
        return max(0, (other.fixed_cents - self.fixed_cents) // saved)
