"""Invented kits, and a planner that knows them all: its plan at a quantity is the cheapest of them there."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from fractions import Fraction

from solver.quotes import (
    BreakEven,
    CycleRate,
    Envelope,
    Floor,
    KitPrice,
    OtherWays,
    PlannedQuantity,
    WantedPrices,
    break_even,
    next_quantities,
)
from solver.quotes.break_even import Quantity


@dataclass
class Shop:
    """All the kits there are, and which quantities were planned."""

    kits: Sequence[KitPrice]
    rate: CycleRate
    largest: int = 3000
    short_by: int = 0
    """Cents by which plans fall short of a proof."""
    planned: list[PlannedQuantity] = field(default_factory=list)

    def price(self, quantity: int) -> int:
        return min(kit.total(quantity, self.rate) for kit in self.kits)

    def plan(self, quantity: int) -> PlannedQuantity:
        kit = min(
            self.kits,
            key=lambda kit: (kit.total(quantity, self.rate), kit.exact(quantity, self.rate), kit.fixed_cents, -kit.weights_cents),
        )
        total = kit.total(quantity, self.rate)
        status = "feasible" if self.short_by else "optimal"
        return PlannedQuantity(quantity, status, max(0, total - self.short_by), (kit,))  # type: ignore[arg-type]

    @property
    def known(self) -> Envelope:
        floor = Floor(min(kit.fixed_cents for kit in self.kits) // 2, min(kit.cycle_s for kit in self.kits) // 2)
        return Envelope(tuple(self.planned), self.rate, floor, self.largest)

    def quoted(self, wanted: WantedPrices) -> Envelope:
        while more := next_quantities(wanted, self.known):
            assert not set(more) & {each.quantity for each in self.planned}
            self.planned += [self.plan(quantity) for quantity in more]
        return self.known


def scanned(shop: Shop, ways: OtherWays) -> BreakEven:
    """Return the break-even by looking at every quantity there is."""
    best = {q: shop.plan(q).kits[0] for q in range(1, shop.largest + 1)}
    by_hand = {q: ways.by_hand(q) for q in best}
    dearer = [q for q, kit in best.items() if (other := by_hand[q]) is not None and kit.money(q, shop.rate) > other]
    late = [q for q, kit in best.items() if kit.money(q, shop.rate) > ways.dedicated(q, kit)]
    start: Quantity = "always" if not dearer else None if dearer[-1] == shop.largest else dearer[-1] + 1
    stop: Quantity = "always" if not late else None if late[0] == 1 else late[0] - 1
    return BreakEven(start, stop)


def ways_of(rate: CycleRate, each: Fraction | None, dedicated: int) -> OtherWays:
    return OtherWays(rate, each, dedicated)


__all__ = ["Shop", "break_even", "scanned", "ways_of"]
