"""The cheapest kit at every quantity: from above by the kits that are known, from below by what plans have proved.

From below: let a kit have a cycle of c seconds and cost F once. A plan that proved that nothing at quantity p is cheaper than b
says F >= b - round(p c rate), exactly and in whole cents; so says every plan. The least F they all leave is the cheapest a kit
of that cycle could be, and the least of these over all cycles bounds the price at any other quantity. Where seconds are so cheap
that there are too many cycles to look at, the bound is the chord of the proved bounds instead: the envelope is concave, and
rounding moves it by half a cent at most.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from fractions import Fraction
from functools import cached_property
from itertools import pairwise

from inventory import limits
from solver.quotes.floor import Floor
from solver.quotes.kit_price import CycleRate, KitPrice
from solver.quotes.planned_quantity import PlannedQuantity

LARGEST = int(limits.QUANTITY.high)
_MOST_CYCLES = 20_000
"""So many cycle times are looked at one by one, s."""
_HALF = Fraction(1, 2)


@dataclass(frozen=True, slots=True)
class Piece:
    """Quantities, both included, at which one kit is the cheapest that is known."""

    first: int
    last: int
    kit: KitPrice


@dataclass(frozen=True)
class Envelope:
    """What is known of the cheapest price at every quantity.

    Parameters
    ----------
    planned : tuple of PlannedQuantity
        Quantities that were planned, each once.
    rate : CycleRate
    floor : Floor
        What every fixture costs.
    largest : int
        The largest quantity there is.
    """

    planned: tuple[PlannedQuantity, ...]
    rate: CycleRate
    floor: Floor
    largest: int = LARGEST

    @cached_property
    def pieces(self) -> tuple[Piece, ...]:
        """The cheapest known kit from quantity 1 to the largest there is; none if no kit is known.

        Kits are compared before rounding. Of equal ones the one that costs less once comes first, then the one with less to pay.
        """
        kits = sorted(
            (kit for each in self.planned for kit in each.kits),
            key=lambda kit: (kit.exact(1, self.rate), kit.fixed_cents, -kit.weights_cents, kit.rank, kit.source),
        )
        if not kits:
            return ()
        found: list[Piece] = []
        first, kit = 1, kits[0]
        while first <= self.largest:
            quicker = [other for other in kits if other.cycle_s < kit.cycle_s and self.rate.cents]
            # Of those that take over first, the one that is cheapest from there on.
            ends = min((kit.last_before(other, self.rate) for other in quicker), default=self.largest)
            last = min(self.largest, ends)
            if last >= first:
                found.append(Piece(first, last, kit))
            if last == self.largest:
                break
            first = max(first, last + 1)
            kit = min(
                (other for other in quicker if kit.last_before(other, self.rate) == ends),
                key=lambda other: (
                    other.exact(first, self.rate),
                    other.fixed_cents,
                    -other.weights_cents,
                    other.rank,
                    other.source,
                ),
            )
        return tuple(found)

    def kit(self, quantity: int) -> KitPrice | None:
        """Return the cheapest known kit at a quantity."""
        return next((piece.kit for piece in self.pieces if quantity <= piece.last), None)

    def price(self, quantity: int) -> int | None:
        """Return the least known total at a quantity, cents."""
        kit = self.kit(quantity)
        return None if kit is None else kit.total(quantity, self.rate)

    def bound(self, quantity: int) -> int:
        """Return what every fixture costs at a quantity at least, as far as proved, cents."""
        price = self.price(quantity)
        found = self._chord(quantity)
        if price is None or found >= price:
            return found if price is None else price
        return max(found, self._least(quantity, price))

    def proved(self, quantity: int) -> bool:
        """Whether no fixture is cheaper at a quantity than the cheapest that is known."""
        return self.price(quantity) == self.bound(quantity) and bool(self.pieces)

    def _least(self, quantity: int, price: int) -> int:
        """Return the least total that plans leave to a kit of any cycle, or `price` if that is less; 0 if not looked at."""
        rate, floor = self.rate, self.floor
        least = price
        if rate.cents and (price - floor.fixed_cents) * rate.seconds > _MOST_CYCLES * quantity * rate.cents:
            return 0
        cycle_s = floor.cycle_s
        while floor.fixed_cents + (cycles := rate.priced(quantity * cycle_s)) < least:
            least = min(least, self._fixed(cycle_s) + cycles)
            if not rate.cents:
                break
            cycle_s += 1
        return least

    def _fixed(self, cycle_s: int) -> int:
        """Return what a kit with such a cycle costs once at least, as far as proved, cents."""
        found = self._known_fixed.get(cycle_s)
        if found is None:
            proved = (each.bound_cents - self.rate.priced(each.quantity * cycle_s) for each in self.planned)
            found = self._known_fixed[cycle_s] = max(self.floor.fixed_cents, *proved)
        return found

    @cached_property
    def _known_fixed(self) -> dict[int, int]:
        return {}

    @cached_property
    def _corners(self) -> tuple[tuple[int, Fraction], ...]:
        """The concave hull of the proved bounds, rounding taken off: quantities and cents."""
        hull = [(0, Fraction(self.floor.fixed_cents))]
        for each in sorted(self.planned, key=lambda each: each.quantity):
            x, y = each.quantity, each.bound_cents - _HALF
            if y <= hull[-1][1] + (x - hull[-1][0]) * self.floor.cycle_s * self.rate.per_s:
                continue  # less than what is known without it
            while len(hull) > 1 and (hull[-1][1] - hull[-2][1]) * (x - hull[-2][0]) <= (y - hull[-2][1]) * (
                hull[-1][0] - hull[-2][0]
            ):
                hull.pop()
            hull.append((x, y))
        return tuple(hull)

    def _chord(self, quantity: int) -> int:
        for (x, y), (to_x, to_y) in pairwise(self._corners):
            if x <= quantity <= to_x:
                return _half_up(y + (to_y - y) * Fraction(quantity - x, to_x - x))
        x, y = self._corners[-1]
        return _half_up(y + (quantity - x) * self.floor.cycle_s * self.rate.per_s)


def _half_up(value: Fraction) -> int:
    return math.floor(value + _HALF)
