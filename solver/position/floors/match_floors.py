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
from solver.geometry.hulls import Flags
from solver.geometry.tolerances import CROSS, LEVEL, SLOPING, SNUG
from solver.hardware.clamp_lines import parts_clamped_at_most
from solver.hardware.matching import Match
from solver.hardware.stacks import Stack
from solver.hardware.travel import Travels
from solver.laying.laid_weldment import LaidWeldment
from solver.laying.requirements import Direction, carried, clamps_needed, direction_of, upright_round


@dataclass(frozen=True)
class PricedMatch:
    """A match (by its number) that locates its part in one level direction: its stack, and the stack's price in cents."""

    match: int
    stack: int
    price: float


@dataclass(frozen=True)
class MatchFloors:
    """The floor for one laid weldment and one set of matches; `prices` in cents per stack."""

    laid: LaidWeldment
    stacks: Sequence[Stack]
    found: Sequence[Match]
    prices: Sequence[float]
    pitch: float

    @cached_property
    def offers(self) -> Mapping[tuple[int, Direction], list[PricedMatch]]:
        """Level pads of locators by part and direction."""
        offers: dict[tuple[int, Direction], list[PricedMatch]] = {}
        for number, match in enumerate(self.found):
            normal = match.pad.normal
            level = float(np.hypot(normal[0], normal[1]))
            if self.stacks[match.stack].push is None and level > SLOPING:
                offers.setdefault((match.face.part, direction_of(normal / level)), []).append(
                    PricedMatch(number, match.stack, self.prices[match.stack])
                )
        return offers

    @cached_property
    def points_at_once(self) -> Sequence[int]:
        """How many level points of contact a stack could give at once."""
        most = [0] * len(self.stacks)
        planes: dict[tuple[int, int], dict[float, set[int]]] = {}
        for match in self.found:
            height = round(float(match.pad.normal @ match.face.origin), 1)
            planes.setdefault((match.stack, match.pad_index), {}).setdefault(height, set()).add(match.face.part)
        for (stack, _), by_plane in planes.items():
            most[stack] += max(len(parts) for parts in by_plane.values())
        return most

    @cached_property
    def given(self) -> Mapping[int, tuple[tuple[Array, int], ...]]:
        """Level points that other parts give each part: (direction, points)."""
        return {
            part.index: tuple((touch.normal, 2) for touch in self.laid.touches_of(part.index) if touch.level)
            for part in self.laid.parts
        }

    @cached_property
    def pressing(self) -> float:
        """The floor of what clamps and rests cost, cents."""
        total = 0.0
        share = [math.inf] * len(self.laid.parts)
        for stack, clamped in parts_clamped_at_most(self.laid, self.stacks, self.found):
            for index in clamped:
                share[index] = min(share[index], self.prices[stack] / len(clamped))
        for part in self.laid.parts:
            total += clamps_needed(self.laid, part) * share[part.index]
            if not carried(self.laid, part, margin=0.0):
                rests = [
                    self.prices[match.stack]
                    for match in self.found
                    if match.face.part == part.index and self.stacks[match.stack].push is None
                ]
                total += min(rests, default=math.inf) / max(2, len(self.laid.parts))
        return total

    @cached_property
    def _holes(self) -> Array:
        """Where each match's hole must be along either axis at setting 0, (m, 2); nan: anywhere."""
        return np.array([[match.hole_at(axis) for axis in range(2)] for match in self.found], dtype=float).reshape(-1, 2)

    @cached_property
    def _travels(self) -> Travels:
        """How each match's pad moves with its setting."""
        return Travels.of([self.stacks[match.stack].travel if match.pad.moves else None for match in self.found])

    def finds_hole(self, phases: Sequence[float], axis: int) -> Flags:
        """Return per phase along one axis and match whether its pad finds a hole there, (phases, m); slanted ones always do."""
        ahead, travels = self._holes[:, axis] - np.array(phases)[:, None], self._travels
        gain, low = travels.axis[:, axis], travels.low
        still = np.abs(gain) < LEVEL
        fits: Flags = still & (np.abs((ahead + self.pitch / 2) % self.pitch - self.pitch / 2) <= SNUG)
        gain = np.where(still, 1.0, gain)
        setting = low + (ahead / gain - low) % self.pitch
        while (within := ~still & (setting <= travels.high + SNUG)).any():
            fits |= within & (np.abs(travels.nearest(setting) - setting) <= SNUG)
            setting = setting + self.pitch / np.abs(gain)
        return fits | np.isnan(self._holes[:, axis])

    def floors(self, fits_x: Flags, fits_y: Flags) -> Array:
        """Return the floor of some lattice positions, cents; infinite if some part cannot be located at all.

        `fits_x`, `fits_y` (positions, m): whose pads find a hole along either axis.
        """
        total = np.full(len(fits_x), self.pressing)
        both = fits_x & fits_y
        stack = np.array([match.stack for match in self.found], dtype=np.intp)
        pads_there = np.zeros((len(both), len(self.stacks)), dtype=np.intp)
        if both.size:
            order = np.argsort(stack, kind="stable")
            first = np.flatnonzero(np.diff(stack[order], prepend=-1))
            pads_there[:, stack[order][first]] = np.add.reduceat(both[:, order], first, axis=1, dtype=np.intp)
        at_once = np.clip(pads_there, 1, np.maximum(self.points_at_once, 1))
        cheapest: dict[int, dict[Direction, Array]] = {part.index: {} for part in self.laid.parts}
        for (part, direction), offers in self.offers.items():
            match = [offer.match for offer in offers]
            share = np.array([offer.price for offer in offers]) / at_once[:, [offer.stack for offer in offers]]
            cheapest[part][direction] = np.where(both[:, match], share, np.inf).min(axis=1)
        for part, by_direction in cheapest.items():
            total = total + self._located(part, by_direction, len(both))
        return total

    def _located(self, part: int, cheapest: Mapping[Direction, Array], count: int) -> Array:
        """Return per position the least sum of two points of one direction and one of another."""
        none = np.full(count, np.inf)
        prices: dict[Direction, tuple[Array, int]] = {direction: (price, 0) for direction, price in cheapest.items()}
        for normal, points in self.given[part]:
            key = direction_of(normal)
            prices[key] = (prices.get(key, (none, 0))[0], points)
        best = none
        if upright_round(self.laid.parts[part]) and cheapest:
            best = 3 * np.min(list(cheapest.values()), axis=0)
        for side, (side_price, side_given) in prices.items():
            for end, (end_price, end_given) in prices.items():
                if abs(side[0] * end[0] + side[1] * end[1]) > CROSS:
                    continue
                more, other = max(0, 2 - side_given), max(0, 1 - end_given)
                best = np.minimum(best, (more * side_price if more else 0.0) + (other * end_price if other else 0.0))
        return best
