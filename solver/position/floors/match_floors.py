"""A floor under the price of every fixture on one lattice position, before anything is placed.

Each part needs three level points of contact (two of one direction, on a long face; one of another), a clamp per length begun,
and a rest where neither table nor parts carry it. A piece that could serve several such needs at once counts only its share of
each, so the sum never exceeds what any complete fixture pays.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np

from inventory.shapes import Array
from solver.deadline import look
from solver.geometry.hulls import Flags, Index
from solver.geometry.tolerances import CARRIES, CROSS, FLOOR_SLACK, LEVEL, SLOPING, SNUG
from solver.hardware.clamp_lines import ClampWindow, clamp_windows
from solver.hardware.matching import Match
from solver.hardware.reachable_holes import ReachableHoles
from solver.hardware.stacks import Stack
from solver.hardware.travel import Travels
from solver.laying.laid_weldment import LaidPart, LaidWeldment
from solver.laying.order_choices import OrderChoices
from solver.laying.requirements import (
    Direction,
    carried,
    clamps_needed,
    direction_of,
    level_span,
    long_faces,
    rests_needed,
    side_spacing,
    touched_long,
    upright_round,
)
from solver.position.floors.along_faces import faces_along, pads_along
from solver.position.floors.met_at_once import met_at_once

Given = tuple[Direction, tuple[float, float], bool]
"""A level direction in which another part locates one, from where to where along it, mm, and whether on a long face."""
Offered = tuple[Array, Array, Array, Flags]
"""Per position the least share of a price in one direction, cents, the least and greatest place along the face, mm, and
whether any is on a face long enough for a side."""
AT_ONCE = 200
"""Lattice positions whose floors are found together, between two looks at the clock."""
WITHIN = 1e-6
"""A hole on the edge of its bounds lies within them, mm."""


@dataclass(frozen=True)
class AlongAxis:
    """What can be along one axis of the lattice at each of some phases: pads that find a hole (k, m), clamps' windows
    (k, w), and the lowest and the highest hole of each pad along the axis (k, m), mm."""

    meets: Flags
    serves: Flags
    low: Array
    high: Array

    def take(self, rows: Index) -> AlongAxis:
        """Return only some phases, any number of times."""
        return AlongAxis(self.meets[rows], self.serves[rows], self.low[rows], self.high[rows])


@dataclass(frozen=True)
class Slanted:
    """Pads (s,) that look along no axis, and where along their faces their holes lie at each of some positions (k, s), mm.

    The lowest and the highest; inf and -inf where there is none.
    """

    match: Index
    low: Array
    high: Array


@dataclass(frozen=True)
class MatchFloors:
    """The floor for one laid weldment and what its matches reach; `windows` of its clamps, `prices` in cents per stack.

    `choices` are the orders of loading meant; `laid` has the one of them, or any order if there are several. With `each` what
    matches' stacks cost differs by position: prices (positions, m), infinite where a match cannot be, cents. `late` are stacks
    that stand on arms: where others do, they are not placed.
    """

    laid: LaidWeldment
    choices: OrderChoices
    reach: ReachableHoles
    windows: Sequence[ClampWindow]
    prices: Sequence[float]
    pitch: float
    each: Array | None = None
    late: Flags | None = None

    @staticmethod
    def of(laid: LaidWeldment, reach: ReachableHoles, prices: Sequence[float], pitch: float) -> MatchFloors:
        """Return the floors of what is reached."""
        windows = clamp_windows(laid, reach.stacks, reach.matches)
        return MatchFloors(laid, OrderChoices.of([laid]), reach, windows, prices, pitch)

    def ordered(self, laids: Sequence[LaidWeldment]) -> MatchFloors:
        """Return the floors of the same in other orders of loading, one or more."""
        laid = laids[0] if len(laids) == 1 else replace(laids[0], any_order=True)
        return replace(self, laid=laid, choices=OrderChoices.of(laids))

    def on_any_face(self) -> MatchFloors:
        """Return the floors of the same where side points may stand on faces of any length."""
        rules = self.laid.rules
        free = replace(rules, changes={**rules.changes, "locate.side_face_ratio": 0.0})
        laids = [replace(laid, rules=free) for laid in self.choices.laids]
        return replace(self, laid=replace(self.laid, rules=free), choices=OrderChoices.of(laids))

    @property
    def stacks(self) -> Sequence[Stack]:
        """The stacks that can meet the weldment."""
        return self.reach.stacks

    @property
    def found(self) -> Sequence[Match]:
        """Every pad and face that can meet."""
        return self.reach.matches

    @cached_property
    def cents(self) -> Array:
        """What each match's stack costs, cents, (1, m); (positions, m) if it differs."""
        return np.array(self.prices)[self.reach.stack][None, :] if self.each is None else self.each

    @cached_property
    def offers(self) -> Mapping[tuple[int, Direction], Index]:
        """Level pads of locators, as matches by part and direction."""
        offers: dict[tuple[int, Direction], list[int]] = {}
        for number, match in enumerate(self.found):
            normal = match.pad.normal
            level = float(np.hypot(normal[0], normal[1]))
            if self.stacks[match.stack].push is None and level > SLOPING:
                offers.setdefault((match.face.part, direction_of(normal / level)), []).append(number)
        return {key: np.array(numbers, dtype=np.intp) for key, numbers in offers.items()}

    @cached_property
    def _at_once(self) -> Array:
        """The most needs each match's stack can meet from a hole from which it meets the match's face, (m,)."""
        return met_at_once(self.reach)

    @cached_property
    def _long(self) -> Flags:
        """Which matches are on a face long enough for the side of its part, or need not be, (m,)."""
        long = [long_faces(self.laid, part) for part in self.laid.parts]
        return np.array([long[match.face.part].get(match.face.label, True) for match in self.found], dtype=bool)

    @cached_property
    def given(self) -> Sequence[Sequence[Given]]:
        """Level points that other parts give each case's part: direction, from where to where (mm), if on a long face."""
        long = [long_faces(self.laid, part) for part in self.laid.parts]
        return [
            [
                (
                    direction_of(touch.normal),
                    level_span(touch.patch, touch.normal),
                    touched_long(laid.parts[part], touch, long[part]),
                )
                for touch in laid.touches_of(part)
                if touch.level
            ]
            for part, laid in self.choices.cases
        ]

    def _clamping(self, meets: Flags, serves: Flags) -> Array:
        """Return per position what clamps cost at least, cents; infinite where some part has none."""
        match = np.array([window.match for window in self.windows], dtype=np.intp)
        part = np.array([window.part for window in self.windows], dtype=np.intp)
        there = serves & meets[:, match]
        total, at_once = np.zeros(len(meets)), np.zeros(meets.shape, dtype=np.intp)
        np.add.at(at_once.T, match, there.T)
        share = np.where(there, self.cents[:, match] / np.maximum(at_once[:, match], 1), np.inf)
        for laid_part in self.laid.parts:
            own = share[:, part == laid_part.index]
            total = total + clamps_needed(self.laid, laid_part) * own.min(axis=1, initial=np.inf)
        return total

    def _carrying(self, meets: Flags, met: int = 0) -> Array:
        """Return per position and case what the rests of the case's part cost at least, (k, cases), cents.

        `met` of them are paid for already.
        """
        price = self.cents / self._at_once
        total = np.zeros((len(meets), len(self.choices.cases)))
        least: dict[int, Array] = {}
        for case, (part, laid) in enumerate(self.choices.cases):
            own = laid.parts[part]
            asked = max(rests_needed(laid, own), int(not carried(laid, own, margin=0.0))) - met
            if asked > 0 and part not in least:
                rests = np.flatnonzero(self.bears & (self.reach.part == part))
                least[part] = np.where(meets[:, rests], price[:, rests], np.inf).min(axis=1, initial=np.inf)
            if asked > 0:
                total[:, case] = asked * least[part]
        return total

    @cached_property
    def bears(self) -> Flags:
        """Which matches can carry a part, (m,)."""
        return np.array([self.stacks[m.stack].push is None and m.pad.normal[2] > CARRIES for m in self.found], dtype=bool)

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
        low, high = self.reach.windows.ends(phases, axis, self.pitch, self.reach.box[:, axis])
        holes = np.isnan(self._holes[:, axis])
        return AlongAxis(np.where(holes, low <= high, self.finds_hole(phases, axis)), self._has_hole(phases, windows), low, high)

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
        """Return per phase along one axis and match whether its pad, looking along it, finds a hole there, (phases, m)."""
        ahead, travels = self._holes[:, axis] - np.array(phases)[:, None], self._travels
        gain, low = travels.axis[:, axis], travels.low
        still = np.abs(gain) < LEVEL
        fits: Flags = still & (np.abs((ahead + self.pitch / 2) % self.pitch - self.pitch / 2) <= SNUG)
        gain = np.where(still, 1.0, gain)
        setting = low + (ahead / gain - low) % self.pitch
        while (within := ~still & (setting <= travels.high + SNUG)).any():
            fits |= within & (np.abs(travels.nearest(setting) - setting) <= SNUG)
            setting = setting + self.pitch / np.abs(gain)
        return fits

    def slanted(self, phases: Array) -> Slanted:
        """Return where pads that look along no axis find holes at some positions (k, 2)."""
        numbers = np.array([match for match, _ in self._askew], dtype=np.intp)
        low, high = (np.full((len(phases), len(numbers)), worst) for worst in (np.inf, -np.inf))
        for row, (match, holes) in enumerate(self._askew):
            at = phases[:, None, :] + holes
            box = self.reach.box[match]
            beside = ((at >= box[:, 0] - WITHIN) & (at <= box[:, 1] + WITHIN)).all(axis=2)
            where, which = np.nonzero(beside)
            rows = np.full(len(where), match, dtype=np.intp)
            held = self.reach.windows.hold(rows, at[where, which])
            where, which, rows = where[held], which[held], rows[held]
            _, fits = self.reach.settings(rows, self.reach.gap[match] - at[where, which] @ self.reach.normal[match, :2])
            normal = self.reach.normal[match, :2] / np.hypot(*self.reach.normal[match, :2])
            place = at[where[fits], which[fits]] @ np.array([-normal[1], normal[0]])
            np.minimum.at(low[:, row], where[fits], place)
            np.maximum.at(high[:, row], where[fits], place)
        return Slanted(numbers, low, high)

    @cached_property
    def _askew(self) -> Sequence[tuple[int, Array]]:
        """Matches of pads that look along no axis, and the steps (h, 2) from hole (0, 0) that may lie beside the face, mm."""
        found = []
        for match in np.flatnonzero(np.isnan(self._holes).all(axis=1)).tolist():
            if float(np.hypot(*self.reach.normal[match, :2])) > LEVEL:
                low = np.floor(self.reach.box[match, :, 0] / self.pitch) - 1
                high = np.ceil(self.reach.box[match, :, 1] / self.pitch)
                steps = np.meshgrid(*(np.arange(a, b + 1) for a, b in zip(low, high, strict=True)), indexing="ij")
                found.append((match, self.pitch * np.stack(steps, axis=-1).reshape(-1, 2)))
        return found

    def floors(self, x: AlongAxis, y: AlongAxis, slanted: Slanted | None = None) -> Array:
        """Return the floor of some lattice positions, cents; infinite if some part cannot be located or clamped at all.

        `x`, `y`: what finds holes along either axis, one row a position; `slanted`: what looks along none.
        """
        placing, clamping = self.shares(x, y, slanted)
        return self.choices.least(placing) + clamping

    def axes(self, phases: Sequence[tuple[float, float]]) -> list[tuple[AlongAxis, Index]]:
        """Return for either axis what can be at each of its distinct phases, and which of those each position has, (k,)."""
        where = [np.unique(np.array([phase[axis] for phase in phases]), return_inverse=True) for axis in range(2)]
        return [(self.along(values.tolist(), axis), numbers) for axis, (values, numbers) in enumerate(where)]

    def floors_at(
        self, phases: Sequence[tuple[float, float]], axes: Sequence[tuple[AlongAxis, Index]] | None = None
    ) -> Iterator[Array]:
        """Yield the floors of some lattice positions, `AT_ONCE` after the other, cents; `axes` as told by `axes`, if known."""
        axes = axes or self.axes(phases)
        for first in range(0, len(phases), AT_ONCE):
            some = slice(first, first + AT_ONCE)
            x, y = (there.take(numbers[some]) for there, numbers in axes)
            yield self.floors(x, y, self.slanted(np.array(phases[some]).reshape(-1, 2)))

    def shares(self, x: AlongAxis, y: AlongAxis, slanted: Slanted | None) -> tuple[Array, Array]:
        """Return what locating and carrying each part costs at least by case (positions, cases), and clamping all, cents."""
        both, offered = self._offered(x, y, slanted)
        located = [
            self._located(self.laid.parts[part], offered[part], given, len(both))
            for (part, _), given in zip(self.choices.cases, self.given, strict=True)
        ]
        return np.stack(located, axis=1) + self._carrying(both), self._clamping(both, x.serves & y.serves)

    def _offered(
        self, x: AlongAxis, y: AlongAxis, slanted: Slanted | None
    ) -> tuple[Flags, Mapping[int, Mapping[Direction, Offered]]]:
        """Return which matches find holes (positions, m), and what each part is offered by direction."""
        both, (low, high) = x.meets & y.meets, self._along_faces(x, y)
        if slanted is not None:
            both[:, slanted.match] &= slanted.low <= slanted.high
            low[:, slanted.match], high[:, slanted.match] = slanted.low, slanted.high
        offered: dict[int, dict[Direction, Offered]] = {part.index: {} for part in self.laid.parts}
        for (part, direction), match in self.offers.items():
            look()
            there, share = both[:, match], self.cents[:, match] / self._at_once[match]
            slip = self._half_pads[match]
            ends = self._face_ends[match]
            least = np.where(there, np.maximum(low[:, match] + slip[:, 0], ends[:, 0]), np.inf).min(axis=1)
            most = np.where(there, np.minimum(high[:, match] + slip[:, 1], ends[:, 1]), -np.inf).max(axis=1)
            long: Flags = np.any(there & self._long[match], axis=1)
            offered[part][direction] = np.where(there, share, np.inf).min(axis=1), least, most, long
        return both, offered

    def shares_at(self, phases: Array) -> tuple[Array, Array]:
        """Return the shares of the floor at some lattice positions (k, 2)."""
        return self.shares(*self._at(phases))

    def late_at(self, phases: Array) -> Array:
        """Return what placing the part of each match costs at least by case if it is placed by that match (m, positions, cases).

        Cents; infinite but for locators' matches of `late` stacks that find holes there.
        """
        both, offered = self._offered(*self._at(phases))
        assert self.late is not None
        locating = np.array([self.stacks[match.stack].push is None for match in self.found], dtype=bool)
        share = np.where(both & self.late[self.reach.stack] & locating, self.cents / self._at_once, np.inf).T
        level = np.hypot(self.reach.normal[:, 0], self.reach.normal[:, 1]) > SLOPING
        every, others = self._carrying(both), self._carrying(both, met=1)
        values = np.full((*share.shape, len(self.choices.cases)), np.inf)
        for case, ((part, _), given) in enumerate(zip(self.choices.cases, self.given, strict=True)):
            whole, less = (self._located(self.laid.parts[part], offered[part], given, len(both), met) for met in (0, 1))
            ways = less + every[:, case], whole + others[:, case], less + others[:, case]
            own = self.reach.part == part
            for kind, way in zip((level & ~self.bears, ~level, level & self.bears), ways, strict=True):
                values[own & kind, :, case] = share[own & kind] + way
        return values

    def _at(self, phases: Array) -> tuple[AlongAxis, AlongAxis, Slanted]:
        return self.along(phases[:, 0].tolist(), 0), self.along(phases[:, 1].tolist(), 1), self.slanted(phases)

    def _along_faces(self, x: AlongAxis, y: AlongAxis) -> tuple[Array, Array]:
        """Return where along its face each pad's lowest and highest hole lie (k, m), mm; endless where it looks along no axis."""
        across = np.abs(self.reach.normal[:, 0]) > np.abs(self.reach.normal[:, 1])
        low, high = np.where(across, y.low, -x.high), np.where(across, y.high, -x.low)
        turned = np.where(across, self.reach.normal[:, 0], self.reach.normal[:, 1]) < 0
        low, high = np.where(turned, -high, low), np.where(turned, -low, high)
        endless = np.isnan(self._holes).all(axis=1)
        return np.where(endless, -np.inf, low), np.where(endless, np.inf, high)

    @cached_property
    def _half_pads(self) -> Array:
        return pads_along(self.found, [self.stacks[match.stack].travel if match.pad.moves else None for match in self.found])

    @cached_property
    def _face_ends(self) -> Array:
        return faces_along(self.found)

    def _located(
        self, part: LaidPart, offered: Mapping[Direction, Offered], given: Sequence[Given], count: int, met: int = 0
    ) -> Array:
        """Return per position the least sum of two points of one direction, wide apart on a long face, and one of another.

        `met` of the three (0 or 1), wherever they are, are paid for already.
        """
        none = np.full(count, np.inf)
        points = {key: (none, none, -none, np.zeros(count, dtype=bool)) for key, _, _ in given} | dict(offered)
        sides: dict[Direction, Array] = {}
        for key, (price, least, most, long) in points.items():
            mates = [(span, on_long) for own, span, on_long in given if own == key]
            for (from_here, to_here), on_long in mates:
                least, most, long = np.minimum(least, from_here), np.maximum(most, to_here), long | on_long
            asked = side_spacing(self.laid, part, np.array([*key, 0.0]))
            sides[key] = np.where(long & (most - least >= asked - FLOOR_SLACK), 0.0 if mates else 2 * price, np.inf)
        ends = {key: np.zeros(count) if any(own == key for own, *_ in given) else entry[0] for key, entry in points.items()}
        best = none
        if upright_round(part) and offered:
            best = (3 - met) * np.min([price for price, *_ in offered.values()], axis=0)
        for side, two in sides.items():
            for end, one in ends.items():
                if abs(side[0] * end[0] + side[1] * end[1]) <= CROSS:
                    best = np.minimum(best, np.minimum(two, ends[side] + one) if met else two + one)
        return best
