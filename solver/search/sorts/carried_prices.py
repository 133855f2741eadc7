"""What a piece costs at least where it must stand higher or lower: on the table, on risers, or on an arm.

Of everything that may carry it only how high that carries and its price matter; where it then stands is left open.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field

import numpy as np

from inventory.items import Item
from inventory.shapes import Array
from inventory.stock import StockSnapshot
from solver.cost import stack_times, tariff
from solver.hardware.matching import Match, Shelf, height_range
from solver.hardware.stacks import Level, Stack, carries_straight_up, places_on
from solver.request import Request
from solver.search.orientation import priced_stacks

ROUNDED = 2e-3
"""Heights of a raised weldment are rounded; pads may miss them by this, mm."""


@dataclass
class CarriedPrices:
    """The prices of pieces of a shelf on what carries them; of what stands on an arm `less` is taken off, cents."""

    request: Request
    stock: StockSnapshot
    shelf: Shelf
    less: float = 0.0
    _under: list[tuple[Level, dict[float, float]]] = field(init=False)
    """What carries another piece, as it is turned: by how high it does, the least price of it and all under it, cents."""

    def __post_init__(self) -> None:
        found: dict[tuple[str, float], tuple[Level, dict[float, float]]] = {}
        straight, arms = list(self.shelf.carriers), list(self.shelf.arms)
        priced = priced_stacks(self.request, self.stock, self.shelf, [*straight, *arms])
        for number, (stack, (_, cents)) in enumerate(zip([*straight, *arms], priced, strict=True)):
            level = stack.levels[-1]
            height = round(float(level.frame[2, 3]) + level.carries_at, 6)
            price = cents - (self.less if number >= len(straight) else 0.0)
            _, prices = found.setdefault((level.item.id, level.turn), (level, {}))
            prices[height] = min(price, prices.get(height, np.inf))
        self._under = list(found.values())

    def at(self, lifts: Sequence[float], stacks: Sequence[Stack], found: Sequence[Match]) -> Array:
        """Return what the piece of each match costs at least where the weldment lies higher by each of some lifts, (k, m).

        `stacks` are pieces alone, turned; prices in cents, infinite where nothing brings the pad to the face.
        """
        ranges = np.array([
            height_range(stacks[match.stack], match.pad, match.face, match.share) for match in found
        ]).reshape(-1, 2)  # fmt: skip
        prices = np.full((len(lifts), len(found)), np.inf)
        of = np.array([match.stack for match in found], dtype=np.intp)
        for number, stack in enumerate(stacks):
            own = np.flatnonzero(of == number)
            height, cents = self._standing(stack.top, stack.turn)
            higher = height[:, None, None] - np.array(lifts)[None, :, None]
            there = (higher >= ranges[own, 0] - ROUNDED) & (higher <= ranges[own, 1] + ROUNDED)
            prices[:, own] = np.where(there, cents[:, None, None], np.inf).min(axis=0)
        return prices

    def _standing(self, item: Item, turn: float) -> tuple[Array, Array]:
        """Return how high a piece can stand, mm, and what it costs there with all under it, cents: on the table first."""
        rates = tariff(self.request)
        alone = stack_times(self.request, self.stock, [item]).cents(rates)
        stacked = stack_times(self.request, self.stock, [item, item]).cents(rates) - alone
        least = {0.0: alone}
        for level, prices in self._under:
            if places_on(item, turn, level):
                for height, cents in prices.items():
                    least[height] = min(cents + stacked, least.get(height, np.inf))
        return np.array(list(least)), np.array(list(least.values()))


def arm_cents(request: Request, stock: StockSnapshot, shelf: Shelf) -> float:
    """Return what the cheapest arm of a shelf costs, cents."""
    rates = tariff(request)
    arms = {level.item.id: level.item for stack in shelf.arms for level in stack.levels if not carries_straight_up(level.item)}
    return min(stack_times(request, stock, [arm]).cents(rates) for arm in arms.values())
