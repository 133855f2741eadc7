"""A floor under the price of every fixture on one lattice position, before anything is placed.

Each part needs three level points of contact (two of one direction, one of another), a clamp per length begun, and a rest
where neither table nor parts carry it. A piece that could serve several such needs at once counts only its share of each,
so the sum never exceeds what any complete fixture pays.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from inventory.shapes import Array
from solver.geometry.hulls import Flags, Index
from solver.geometry.tolerances import CARRIES, CROSS, LEVEL, SLOPING, SNUG
from solver.hardware.clamp_lines import ClampWindow, clamp_windows
from solver.hardware.matching import Match
from solver.hardware.reachable_holes import ReachableHoles
from solver.hardware.stacks import Stack
from solver.hardware.travel import Travels
from solver.laying.laid_weldment import LaidWeldment
from solver.laying.requirements import Direction, carried, clamps_needed, direction_of, rests_needed, upright_round

WITHIN = 1e-6
"""A hole on the edge of its bounds lies within them, mm."""


@dataclass(frozen=True)
class PricedMatch:
    """A match (by its number) that locates its part in one level direction: its stack, and the stack's price in cents."""

    match: int
    stack: int
    price: float


@dataclass(frozen=True)
class AlongAxis:
    """What can be along one axis of the lattice at each of some phases: pads that find a hole (k, m), clamps' windows (k, w)."""

    meets: Flags
    serves: Flags

    def take(self, rows: Index) -> AlongAxis:
        """Return only some phases, any number of times."""
        return AlongAxis(self.meets[rows], self.serves[rows])


@dataclass(frozen=True)
class MatchFloors:
    """The floor for one laid weldment and what its matches reach; `prices` in cents per stack."""

    laid: LaidWeldment
    reach: ReachableHoles
    prices: Sequence[float]
    pitch: float

    @property
    def stacks(self) -> Sequence[Stack]:
        """The stacks that can meet the weldment."""
        return self.reach.stacks

    @property
    def found(self) -> Sequence[Match]:
        """Every pad and face that can meet."""
        return self.reach.matches

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
    def contacts_at_once(self) -> Sequence[int]:
        """How many needs of all parts a stack could meet at once: one for each face in a pad's plane, two for a flank."""
        most = [0] * len(self.stacks)
        planes: dict[tuple[int, int], dict[float, set[tuple[int, str]]]] = {}
        for match in self.found:
            height = round(float(match.pad.normal @ match.face.origin), 1)
            faces = planes.setdefault((match.stack, match.pad_index), {}).setdefault(height, set())
            faces.add((match.face.part, match.face.label))
        for (stack, pad), by_plane in planes.items():
            flank = CARRIES < self.stacks[stack].pads[pad].normal[2] < 1 - SLOPING**2 / 2
            most[stack] += max(len(faces) for faces in by_plane.values()) * (2 if flank else 1)
        return most

    @cached_property
    def given(self) -> Mapping[int, tuple[tuple[Array, int], ...]]:
        """Level points that other parts give each part: (direction, points)."""
        return {
            part.index: tuple((touch.normal, 2) for touch in self.laid.touches_of(part.index) if touch.level)
            for part in self.laid.parts
        }

    @cached_property
    def windows(self) -> Sequence[ClampWindow]:
        """From which holes clamps may clamp which parts."""
        return clamp_windows(self.laid, self.stacks, self.found)

    def _pressing(self, meets: Flags, serves: Flags) -> Array:
        """Return per position what clamps and rests cost at least, cents; infinite where some part has none."""
        price = np.array(self.prices)[self.reach.stack]
        match = np.array([window.match for window in self.windows], dtype=np.intp)
        part = np.array([window.part for window in self.windows], dtype=np.intp)
        there = serves & meets[:, match]
        total, at_once = np.zeros(len(meets)), np.zeros(meets.shape, dtype=np.intp)
        np.add.at(at_once.T, match, there.T)
        share = np.where(there, price[match] / np.maximum(at_once[:, match], 1), np.inf)
        carrying = np.array([self.stacks[m.stack].push is None and m.pad.normal[2] > CARRIES for m in self.found], dtype=bool)
        for laid_part in self.laid.parts:
            own = share[:, part == laid_part.index]
            total = total + clamps_needed(self.laid, laid_part) * own.min(axis=1, initial=np.inf)
            asked = max(rests_needed(self.laid, laid_part), int(not carried(self.laid, laid_part, margin=0.0)))
            if asked:
                rests = np.flatnonzero(carrying & (self.reach.part == laid_part.index))
                units = np.array(self.contacts_at_once)[self.reach.stack[rests]]
                total = total + asked * np.where(meets[:, rests], price[rests] / units, np.inf).min(axis=1, initial=np.inf)
        return total

    @cached_property
    def _holes(self) -> Array:
        """Where each match's hole must be along either axis at setting 0, (m, 2); nan: anywhere."""
        return np.array([[match.hole_at(axis) for axis in range(2)] for match in self.found], dtype=float).reshape(-1, 2)

    @cached_property
    def _travels(self) -> Travels:
        """How each match's pad moves with its setting."""
        return Travels.of([self.stacks[match.stack].travel if match.pad.moves else None for match in self.found])

    def along(self, phases: Sequence[float], axis: int) -> AlongAxis:
        """Return what finds holes at some phases along one axis."""
        windows = np.array([window.holes[:, axis] for window in self.windows]).reshape(-1, 2)
        return AlongAxis(self.finds_hole(phases, axis), self._has_hole(phases, windows))

    def told_apart(self, phases: Sequence[float], axis: int) -> Flags:
        """Return per phase along one axis everything that finds a hole there or not: phases with equal rows are alike."""
        there = self.along(phases, axis)
        return np.concatenate([there.meets, there.serves], axis=1)

    def _has_hole(self, phases: Sequence[float], bounds: Array) -> Flags:
        """Return per phase and bounds (w, 2) whether a hole lies within, (phases, w)."""
        at = np.array(phases)[:, None]
        with np.errstate(invalid="ignore"):
            first = np.ceil((bounds[:, 0] - at - WITHIN) / self.pitch)
            there: Flags = (first * self.pitch + at <= bounds[:, 1] + WITHIN) | ~np.isfinite(bounds).all(axis=1)
        return there

    def finds_hole(self, phases: Sequence[float], axis: int) -> Flags:
        """Return per phase along one axis and match whether its pad finds a hole there, (phases, m)."""
        ahead, travels = self._holes[:, axis] - np.array(phases)[:, None], self._travels
        gain, low = travels.axis[:, axis], travels.low
        still = np.abs(gain) < LEVEL
        fits: Flags = still & (np.abs((ahead + self.pitch / 2) % self.pitch - self.pitch / 2) <= SNUG)
        gain = np.where(still, 1.0, gain)
        setting = low + (ahead / gain - low) % self.pitch
        while (within := ~still & (setting <= travels.high + SNUG)).any():
            fits |= within & (np.abs(travels.nearest(setting) - setting) <= SNUG)
            setting = setting + self.pitch / np.abs(gain)
        anywhere = self._has_hole(phases, self.reach.box[:, axis]) & self.reach.windows.has_hole(phases, axis, self.pitch)
        return np.where(np.isnan(self._holes[:, axis]), anywhere, fits)

    def floors(self, x: AlongAxis, y: AlongAxis) -> Array:
        """Return the floor of some lattice positions, cents; infinite if some part cannot be located or clamped at all.

        `x`, `y`: what finds holes along either axis, one row a position.
        """
        both = x.meets & y.meets
        total = self._pressing(both, x.serves & y.serves)
        at_once = np.maximum(self.contacts_at_once, 1)
        cheapest: dict[int, dict[Direction, Array]] = {part.index: {} for part in self.laid.parts}
        for (part, direction), offers in self.offers.items():
            match = [offer.match for offer in offers]
            share = np.array([offer.price for offer in offers]) / at_once[[offer.stack for offer in offers]]
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
