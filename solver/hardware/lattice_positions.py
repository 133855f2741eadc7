"""Lattice positions: where the lattice may run under a lie, so that pads that do not move meet faces."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from functools import lru_cache
from itertools import pairwise

import numpy as np

from inventory.shapes import Array
from solver.geometry.hulls import Flags, Index
from solver.geometry.tolerances import SLOPING, SNUG
from solver.hardware.matching import Match
from solver.hardware.reachable_holes import ReachableHoles
from solver.hardware.stacks import Stack
from solver.laying.laid_weldment import LaidWeldment

STEEPEST = 4
"""Slanted faces along up to this many holes by one are met by several pieces that do not move along one face; others by one."""
MOST_ASKEW = 240
"""Lattice positions tried for parts at other angles, at most."""
EVERY = 10.0
"""Lattice positions for pads that slide against slanted faces are this far apart, mm."""
CLOSE = 1.0
"""Of a slide without steps so many settings are looked at, mm apart, and both ends."""
SAME_PHASE = 0.03
"""Lattice positions nearer than this are one, mm."""


def positions_of(
    reach: ReachableHoles, laid: LaidWeldment, pitch: float, told_apart: Callable[[Sequence[float], int], Flags],
    settings: Sequence[tuple[str, float]] = (),
) -> tuple[list[tuple[float, float]], bool]:  # fmt: skip
    """Return the lattice positions (x, y) to try, and whether any that could matter are left out.

    Along either axis: where pads that do not move meet faces; of the settings of those that slide, the ends and the middle of
    every stretch over which the same sites are open. Both axes together, and positions at which pads meet slanted faces: those
    that run along the lattice's diagonals (45 degrees, one in two, ...) couple x with y; at any other angle two pads meet a part.

    Parameters
    ----------
    told_apart : callable
        Given phases along an axis (k,), which conditions hold at each (k, any): equal rows are alike.
    settings : sequence of (item, mm)
        Settings that pieces of these items must have somewhere: positions that bring them are among those to try.
    """
    stacks, found = reach.stacks, reach.matches
    centred = _centred(stacks, found, laid, pitch)
    even = _even(stacks, found, pitch)
    exact, slanted = _exactly_set(stacks, found, pitch, settings)
    xs, ys = (
        _distinct(
            {
                *_still(stacks, found, pitch, axis),
                *_stretches(stacks, found, pitch, axis, told_apart),
                *centred[axis],
                *even,
                *exact[axis],
            }
        )
        for axis in range(2)
    )
    lines = _diagonals(stacks, found, pitch)
    askew, left = _askew(stacks, found, laid, pitch)
    pairs = [(x, y) for x in xs for y in ys]
    for p, q, c in lines:
        pairs += [(x, ((c - p * x + k * pitch) / q) % pitch) for x in xs for k in range(abs(q))]
        pairs += [(((c - q * y + k * pitch) / p) % pitch, y) for y in ys for k in range(abs(p))]
    for one, (p, q, c) in enumerate(lines):
        for r, s, d in lines[one + 1 :]:
            det = p * s - q * r
            pairs += [
                (
                    ((s * (c + j * pitch) - q * (d + k * pitch)) / det) % pitch,
                    ((p * (d + k * pitch) - r * (c + j * pitch)) / det) % pitch,
                )
                for j in range(abs(det))
                for k in range(abs(det))
            ]
    pairs += askew
    fresh = {(round(x, 2) % pitch, round(y, 2) % pitch): (round(x, 6) % pitch, round(y, 6) % pitch) for x, y in reversed(pairs)}
    return sorted(fresh.values()), left or slanted


def _even(stacks: Sequence[Stack], found: Sequence[Match], pitch: float) -> list[float]:
    """Return an even grid (mm) if some pad that slides meets a slanted face: at any place it finds its setting somewhere."""
    for match in found:
        stack = stacks[match.stack]
        if stack.push is None and stack.travel is not None and match.pad.moves:
            slanted = match.hole_at(0) is None and match.hole_at(1) is None
            if slanted and float(np.hypot(*match.pad.normal[:2])) > SLOPING:
                return np.arange(0.0, pitch - 1e-9, EVERY).tolist()
    return []


def _still(stacks: Sequence[Stack], found: Sequence[Match], pitch: float, axis: int) -> set[float]:
    """Return where along an axis (mod pitch, mm) locating pads that do not move meet faces: exactly, and two nearly at once."""
    places: set[float] = set()
    for match in found:
        stack = stacks[match.stack]
        place = match.hole_at(axis)
        if place is not None and stack.push is None and (stack.travel is None or not match.pad.moves):
            places.add(round(place % pitch, 3) % pitch)
    ordered = sorted(places)
    between = {(a + b) / 2 for a, b in pairwise(ordered) if SAME_PHASE < b - a <= 2 * SNUG}
    return places | between


def _stretches(
    stacks: Sequence[Stack], found: Sequence[Match], pitch: float, axis: int, told_apart: Callable[[Sequence[float], int], Flags]
) -> list[float]:
    """Return where along an axis pads that slide meet faces: ends and middle of every stretch over which nothing changes."""
    places = _distinct({tooth for match in found for tooth in _teeth(stacks[match.stack], match, pitch, axis)})
    if not places:
        return []
    rows = told_apart(places, axis)
    apart = np.flatnonzero((rows[1:] != rows[:-1]).any(axis=1)) + 1
    kept = set()
    for run in np.split(np.arange(len(places)), apart):
        kept |= {places[run[0]], places[run[len(run) // 2]], places[run[-1]]}
    return sorted(kept)


def _teeth(stack: Stack, match: Match, pitch: float, axis: int) -> list[float]:
    """Return where along an axis (mod pitch) a sliding locator's pad meets a face at some setting, mm."""
    place = match.hole_at(axis)
    if stack.travel is None or stack.push is not None or not match.pad.moves or place is None:
        return []
    travel, along = stack.travel, float(stack.travel.axis[axis])
    if abs(along) < SLOPING:
        return [round(place % pitch, 3) % pitch]
    step = travel.step or CLOSE
    settings = np.append(np.arange(travel.low, travel.high + 1e-9, step), travel.high if travel.step == 0 else [])
    teeth: list[float] = (np.round((place - along * settings) % pitch, 3) % pitch).tolist()
    return teeth


def _centred(stacks: Sequence[Stack], found: Sequence[Match], laid: LaidWeldment, pitch: float) -> tuple[set[float], set[float]]:
    """Return positions at which pads that follow an open dimension stand in the middle of the settings that leave its range."""
    places: tuple[set[float], set[float]] = (set(), set())
    for dimension in laid.weldment.open_dimensions:
        direction = laid.rotation @ np.array(dimension.direction)
        for match in found:
            stack, pad = stacks[match.stack], match.pad
            if stack.travel is None or not pad.moves or laid.parts[match.face.part].id != dimension.part:
                continue
            travel, along = stack.travel, stack.travel.axis
            for axis in range(2):
                place = match.hole_at(axis)
                if place is None or abs(float(along[axis])) < SLOPING or abs(float(pad.normal @ direction)) < SLOPING:
                    continue
                per_mm = float(pad.normal @ direction) / float(pad.normal @ along)
                ends = sorted((per_mm * dimension.low, per_mm * dimension.high))
                setting = travel.nearest((travel.low - ends[0] + travel.high - ends[1]) / 2)
                places[axis].add(round((place - float(along[axis]) * setting) % pitch, 3) % pitch)
    return places


def _exactly_set(
    stacks: Sequence[Stack], found: Sequence[Match], pitch: float, settings: Sequence[tuple[str, float]]
) -> tuple[tuple[set[float], set[float]], bool]:
    """Return where along either axis pads of some items meet faces at just these settings, and whether a slanted face is met."""
    places: tuple[set[float], set[float]] = (set(), set())
    slanted = False
    for match in found if settings else ():
        stack = stacks[match.stack]
        if stack.travel is None or not match.pad.moves:
            continue
        for setting in (mm for item, mm in settings if item == stack.top.id):
            for axis in range(2):
                place = match.hole_at(axis)
                if place is not None:
                    places[axis].add(round((place - float(stack.travel.axis[axis]) * setting) % pitch, 6) % pitch)
            level = float(np.hypot(*match.pad.normal[:2]))
            slanted |= level > SLOPING and match.hole_at(0) is None and match.hole_at(1) is None
    return places, slanted


def _diagonals(stacks: Sequence[Stack], found: Sequence[Match], pitch: float) -> list[tuple[int, int, float]]:
    """Return (p, q, c) of every slanted face a fixed pad meets from lattice positions with p x + q y = c (mod pitch)."""
    kept: list[tuple[int, int, float]] = []
    for match, level in _standing_still(stacks, found):
        slope = _whole_slope(match.pad.normal[:2] / level)
        if slope is None:
            continue
        p, q, scale = slope
        c = round(float(match.pad.normal @ (match.face.origin - match.pad.at)) * scale / level % pitch, 6)
        if not any((p, q) == (r, s) and abs((c - d + pitch / 2) % pitch - pitch / 2) <= SAME_PHASE for r, s, d in kept):
            kept.append((p, q, c))
    return kept


def _standing_still(stacks: Sequence[Stack], found: Sequence[Match]) -> Iterator[tuple[Match, float]]:
    """Yield the matches of locating pads that do not move and push sideways, each with the level length of its normal."""
    for match in found:
        stack, level = stacks[match.stack], float(np.hypot(match.pad.normal[0], match.pad.normal[1]))
        if level > SLOPING and stack.push is None and (stack.travel is None or not match.pad.moves):
            yield match, level


def _askew(
    stacks: Sequence[Stack], found: Sequence[Match], laid: LaidWeldment, pitch: float
) -> tuple[list[tuple[float, float]], bool]:
    """Return positions at which two pads that do not move meet a part whose faces run along no diagonal of the lattice.

    The third point is a pad that moves, or another part. One pad stands in hole (0, 0), the other in any hole from which
    both can meet their faces: n . p = c for the first, n' . (p + pitch h) = c' for the second. Also whether there are more.
    """
    standing = _standing_still(stacks, found)
    third = {touch.part for touch in laid.touches if not touch.on_table}
    third |= {m.face.part for m in found if m.pad.moves and stacks[m.stack].push is None and abs(m.pad.normal[2]) < 1 - SLOPING}
    alike = {_seen(match): (match, level) for match, level in standing if match.face.part in third}
    still = [(match, level) for match, level in alike.values() if _whole_slope(match.pad.normal[:2] / level) is None]
    odd = {_seen(match) for match, _ in still if match.hole_at(0) is None and match.hole_at(1) is None}
    if not odd:
        return [], False
    pads = _StandingPads.of(still, np.array([_seen(match) in odd for match, _ in still]))
    found_at = [place for one in range(len(still)) for place in pads.both_meet(one, pitch)]
    every = max(1, math.ceil(len(found_at) / MOST_ASKEW))
    return found_at[::every], every > 1


@dataclass(frozen=True)
class _StandingPads:
    """Pads that do not move, one row each, and the faces they meet.

    Parameters
    ----------
    part, odd : (m,) arrays
        The part met, and whether its face runs along neither axis.
    normal : (m, 2) array
        The pads' level normals, unit.
    ahead : (m,) array
        Where along its normal each pad's hole must be, mm.
    box : (m, 2, 2) array
        The least and the greatest corner of the face, less where the pad is, mm.
    slack : (m,) array
        Half of each pad's width, mm.
    ends : (m, 2) array
        From where to where along its face each pad's hole may lie, mm.
    """

    part: Index
    odd: Flags
    normal: Array
    ahead: Array
    box: Array
    slack: Array
    ends: Array

    @staticmethod
    def of(still: Sequence[tuple[Match, float]], odd: Flags) -> _StandingPads:
        """Return the rows of some matches, each with the level length of its normal."""
        normal = np.array([match.pad.normal[:2] / level for match, level in still])
        corners = [match.face.corners()[:, :2] - match.pad.at[:2] for match, _ in still]
        slack = np.array([match.pad.width / 2 for match, _ in still])
        along = [own @ np.array([-n[1], n[0]]) for own, n in zip(corners, normal, strict=True)]
        return _StandingPads(
            np.array([match.face.part for match, _ in still], dtype=np.intp),
            odd,
            normal,
            np.array([float(n @ own[0]) for own, n in zip(corners, normal, strict=True)]),
            np.array([[own.min(axis=0), own.max(axis=0)] for own in corners]),
            slack,
            np.array([[own.min(), own.max()] for own in along]) + slack[:, None] * np.array([-1.0, 1.0]),
        )

    def both_meet(self, one: int, pitch: float) -> list[tuple[float, float]]:
        """Return the lattice positions at which a pad and a later one meet faces of a part, at least one of them slanted."""
        turned = self.normal[one, 0] * self.normal[:, 1] - self.normal[one, 1] * self.normal[:, 0]
        paired = (self.part == self.part[one]) & (self.odd | self.odd[one]) & (np.abs(turned) >= SLOPING)
        others = np.flatnonzero(paired & (np.arange(len(self.part)) > one))
        reach = (self.slack[others] + self.slack[one])[:, None]
        low = np.floor((self.box[others, 0] - self.box[one, 1] - reach) / pitch).astype(np.intp)
        many = np.ceil((self.box[others, 1] - self.box[one, 0] + reach) / pitch).astype(np.intp) - low + 1
        count = many.prod(axis=1)
        pair = np.repeat(np.arange(len(others)), count)
        within = np.arange(len(pair)) - np.repeat(np.cumsum(count) - count, count)
        hole = pitch * (low[pair] + np.stack([within % many[pair, 0], within // many[pair, 0]], axis=1))
        other = others[pair]
        first, second = self.ahead[one], self.ahead[other] - (hole * self.normal[other]).sum(axis=1)
        x = (first * self.normal[other, 1] - self.normal[one, 1] * second) / turned[other]
        y = (self.normal[one, 0] * second - self.normal[other, 0] * first) / turned[other]
        at = np.stack([x, y], axis=1)
        mine = np.full(len(other), one, dtype=np.intp)
        meets = self._beside(mine, at) & self._beside(other, at + hole)
        found: list[tuple[float, float]] = [(x % pitch, y % pitch) for x, y in at[meets].tolist()]
        return found

    def _beside(self, rows: Index, holes: Array) -> Flags:
        """Return from which holes (n, 2) some pads (n,) lie beside their faces."""
        along = holes[:, 1] * self.normal[rows, 0] - holes[:, 0] * self.normal[rows, 1]
        beside: Flags = (along > self.ends[rows, 0]) & (along < self.ends[rows, 1])
        return beside


def _seen(match: Match) -> tuple[object, ...]:
    """Return what of a match decides where its hole may be: stacks alike in it are one, whatever they stand on."""
    pad = match.pad
    level = pad.normal[:2] / np.hypot(*pad.normal[:2])
    ahead = float(pad.normal @ (match.face.origin - pad.at))
    aside = float(level[0] * pad.at[1] - level[1] * pad.at[0])
    return match.face.part, match.face.label, round(ahead, 3), round(aside, 3), round(pad.width, 3)


def _whole_slope(along: Array) -> tuple[int, int, float] | None:
    """Return small whole numbers (p, q) along a slanted level direction and their length, None if there are none."""
    return _slope(*np.round(along, 7).tolist())


@lru_cache(maxsize=4096)
def _slope(*along: float) -> tuple[int, int, float] | None:
    for most in range(1, STEEPEST + 1):
        for p, q in ((most, k) for k in range(1, most + 1)):
            for u, v in ((p, q), (p, -q), (q, p), (q, -p)):
                length = math.hypot(u, v)
                for sign in (1, -1):
                    if float(np.hypot(along[0] - sign * u / length, along[1] - sign * v / length)) < 1e-6:
                        return sign * u, sign * v, length
    return None


def _distinct(values: set[float]) -> list[float]:
    kept: list[float] = []
    for value in sorted(values):
        if not kept or value - kept[-1] > SAME_PHASE:
            kept.append(value)
    return kept
