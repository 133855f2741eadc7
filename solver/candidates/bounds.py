"""A floor under the price of every fixture on one lattice position, before anything is placed.

Each part needs three level points of contact (two of one direction, one of another), a clamp per length begun, and a rest
where neither table nor parts carry it. A piece that could serve several such needs at once counts only its share of each,
so the sum never exceeds what any complete fixture pays.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from inventory.shapes import Array
from solver.candidates.assembly import Assembly
from solver.candidates.floors import clamps_needed, upright_round
from solver.candidates.placing import SNUG, Match
from solver.candidates.stands import Stand
from solver.geometry.plan_view import inside_outline

CROSS = 0.9
Direction = tuple[float, float]


@dataclass(frozen=True)
class Offer:
    """A pad that can meet a part's face in one level direction: the stand, its price in cents, and which pad."""

    stand: int
    price: float
    match: Match


@dataclass(frozen=True)
class Bounds:
    """The floor for one assembly and one set of matches; `prices` in cents per stand."""

    assembly: Assembly
    stands: Sequence[Stand]
    found: Sequence[Match]
    prices: Sequence[float]
    pitch: float

    @cached_property
    def offers(self) -> Mapping[tuple[int, Direction], list[Offer]]:
        """Level pads of locators by part and direction."""
        offers: dict[tuple[int, Direction], list[Offer]] = {}
        for match in self.found:
            normal = match.pad.normal
            level = float(np.hypot(normal[0], normal[1]))
            if self.stands[match.stand].push is None and level > 0.3:
                key = (match.face.part, (round(float(normal[0]) / level, 4) + 0.0, round(float(normal[1]) / level, 4) + 0.0))
                offers.setdefault(key, []).append(Offer(match.stand, self.prices[match.stand], match))
        return offers

    @cached_property
    def rows(self) -> Sequence[int]:
        """How many level points of contact a stand could give at once."""
        most = [0] * len(self.stands)
        planes: dict[tuple[int, int], dict[float, set[int]]] = {}
        for match in self.found:
            height = round(float(match.pad.normal @ match.face.origin), 1)
            planes.setdefault((match.stand, match.pad_index), {}).setdefault(height, set()).add(match.face.part)
        for (stand, _), by_plane in planes.items():
            most[stand] += max(len(parts) for parts in by_plane.values())
        return most

    @cached_property
    def given(self) -> Mapping[int, tuple[tuple[Array, int], ...]]:
        """Level points that other parts give each part: (direction, points)."""
        return {
            part.index: tuple(
                (touch.normal, 2) for touch in self.assembly.touches_of(part.index) if abs(float(touch.normal[2])) < 1e-6
            )
            for part in self.assembly.parts
        }

    @cached_property
    def pressing(self) -> float:
        """The floor of what clamps and rests cost, cents."""
        total = 0.0
        boxes = np.array([[p.hulls.points.min(axis=0), p.hulls.points.max(axis=0)] for p in self.assembly.parts])
        for part in self.assembly.parts:
            reach = [match.stand for match in self.found if match.face.part == part.index]
            sharing = self._in_one_line(part.index, boxes)
            clamps = [
                self.prices[m.stand] for m in self.found if self.stands[m.stand].push is not None and m.face.part in sharing
            ]
            needed = clamps_needed(self.assembly, part)
            total += needed * min(clamps, default=math.inf) / len(sharing)
            if not self._carried(part.index):
                rests = [self.prices[s] for s in reach if self.stands[s].push is None]
                total += min(rests, default=math.inf) / max(2, len(self.assembly.parts))
        return total

    def _in_one_line(self, index: int, boxes: Array) -> set[int]:
        """Return the parts that some level or upright line of force through this part might also pass through."""
        found = {index}
        for other in range(len(boxes)):
            overlaps = [boxes[index, 0, k] <= boxes[other, 1, k] and boxes[other, 0, k] <= boxes[index, 1, k] for k in range(3)]
            if sum(overlaps) >= 2:
                found.add(other)
        return found

    def _carried(self, index: int) -> bool:
        part = self.assembly.parts[index]
        patches = [touch.patch[:, :2] for touch in self.assembly.touches_of(index) if touch.normal[2] > 0.5]
        if not patches:
            return False
        return inside_outline(np.concatenate(patches), part.centre[:2], 0.0)

    def table(self, phases: Sequence[float], axis: int) -> list[frozenset[int]]:
        """Return per phase along one axis the matches (indices) whose pads find a hole there; slanted ones always do."""
        return [frozenset(k for k, match in enumerate(self.found) if self._fits(match, phase, axis)) for phase in phases]

    def _fits(self, match: Match, phase: float, axis: int) -> bool:
        place = match.place(axis)
        if place is None:
            return True
        stand = self.stands[match.stand]
        if stand.travel is None or not match.pad.moves:
            return abs((place - phase + self.pitch / 2) % self.pitch - self.pitch / 2) <= SNUG
        direction, low, high, step = stand.travel
        gain = float(direction[axis])
        if abs(gain) < 1e-6:
            return abs((place - phase + self.pitch / 2) % self.pitch - self.pitch / 2) <= SNUG
        setting = low + ((place - phase) / gain - low) % self.pitch
        while setting <= high + SNUG:
            if step == 0 or abs((setting - low + step / 2) % step - step / 2) <= SNUG:
                return True
            setting += self.pitch / abs(gain)
        return False

    def floor(self, fits_x: frozenset[int], fits_y: frozenset[int]) -> float:
        """Return the floor for one lattice position, cents; infinite if some part cannot be located at all."""
        total = self.pressing
        both = fits_x & fits_y
        number = {id(match): k for k, match in enumerate(self.found)}
        pads_there: dict[int, int] = {}
        for k in both:
            stand = self.found[k].stand
            pads_there[stand] = pads_there.get(stand, 0) + 1
        for part in self.assembly.parts:
            cheapest: dict[Direction, float] = {}
            for (index, direction), offers in self.offers.items():
                if index != part.index:
                    continue
                costs = [
                    offer.price / min(self.rows[offer.stand], pads_there[offer.stand])
                    for offer in offers
                    if number[id(offer.match)] in both
                ]
                if costs:
                    cheapest[direction] = min(costs)
            total += self._located(part.index, cheapest)
            if total == math.inf:
                break
        return total

    def _located(self, part: int, cheapest: Mapping[Direction, float]) -> float:
        """Return the least sum of two points of one direction and one of another."""
        prices = {direction: (price, 0) for direction, price in cheapest.items()}
        for normal, points in self.given[part]:
            key = (round(float(normal[0]), 4) + 0.0, round(float(normal[1]), 4) + 0.0)
            prices[key] = (prices.get(key, (math.inf, 0))[0], points)
        best = 3 * min(cheapest.values(), default=math.inf) if upright_round(self.assembly.parts[part]) else math.inf
        for side, (side_price, side_given) in prices.items():
            for end, (end_price, end_given) in prices.items():
                if abs(side[0] * end[0] + side[1] * end[1]) > CROSS:
                    continue
                more, other = max(0, 2 - side_given), max(0, 1 - end_given)
                best = min(best, (more * side_price if more else 0.0) + (other * end_price if other else 0.0))
        return best
