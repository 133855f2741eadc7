"""Where along a face a locator may stand at all: the windows that parts and welds leave free, whatever the lattice.

In words: a piece that meets a level-facing face moves along it with its hole; each box of its body may not come too near to each
box within a part or weld, which shuts one stretch of the face. What is left are windows for its hole. Boxes within bodies shut
less than the bodies themselves: a window may be too wide, never too narrow, and screening looks at every site still.
Formula: two boxes a and b, apart by d square to the face and h in height, keep the clearance c unless the hole lies between
b_low - a_high - sqrt(c^2 - d^2 - h^2) and b_high - a_low + sqrt(c^2 - d^2 - h^2).
Source: distance of boxes along the axes (Pythagoras).

Example:

```text
    weld zone      other part
      .--.        +--------+            hole free:   |-----|            |----|
   +--------------|        |----------+              u                  u
   |     face     +--------+          |
   +----------------------------------+
          ^ stop
```
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from inventory.shapes import Array
from solver.deadline import look
from solver.geometry.free_intervals import Stretches, too_near
from solver.geometry.hulls import Flags, Hulls, Index, joined
from solver.geometry.inner_boxes import inner_boxes
from solver.geometry.tolerances import EQUAL, HARDWARE_EASE, LEVEL, ONE_PLANE, PARALLEL, RUNS_INTO, TOUCH
from solver.hardware.matching import Match
from solver.hardware.stacks import Stack
from solver.laying.laid_weldment import LaidWeldment

SLANTED = 2
CORNERS = np.array([[a, b, c] for a in (0, 1) for b in (0, 1) for c in (0, 1)])
SPARE = 1e-6
"""A hole at a window's very end is in it, mm."""


@dataclass(frozen=True)
class FreeWindows:
    """Windows for the holes of some matches, sorted by match.

    Parameters
    ----------
    match, axis : (w,) arrays
        Whose windows they are, and along which axis they lie (0, 1), or along a slanted face (`SLANTED`).
    low, high : (w,) arrays
        From where to where holes may lie along it, mm.
    limited : (m,) flags
        Which matches have windows; the others are limited by nothing known.
    along : (m, 2) array
        The direction of every match's face, the axis itself if it lies along one.
    """

    match: Index
    axis: Index
    low: Array
    high: Array
    limited: Flags
    along: Array

    @staticmethod
    def none(matches: int) -> FreeWindows:
        """Return no windows: so many matches limited by nothing."""
        empty = np.zeros(0, dtype=np.intp)
        return FreeWindows(empty, empty, np.zeros(0), np.zeros(0), np.zeros(matches, dtype=bool), np.zeros((matches, 2)))

    def take(self, alive: Flags) -> FreeWindows:
        """Return the windows of some matches, numbered anew."""
        number = np.cumsum(alive) - 1
        rows = alive[self.match]
        return FreeWindows(
            number[self.match[rows]], self.axis[rows], self.low[rows], self.high[rows], self.limited[alive], self.along[alive]
        )

    def dead(self) -> Flags:
        """Return which matches have no window at all."""
        found = self.limited.copy()
        found[self.match] = False
        return found

    def hold(self, match: Index, holes: Array) -> Flags:
        """Return which holes (n, 2) of some matches (n,) lie in a window of theirs."""
        there = np.ones(len(match), dtype=bool)
        rows = np.flatnonzero(self.limited[match])
        if not len(rows):
            return there
        wide = 4.0 * (1.0 + max(float(np.abs(values).max(initial=0.0)) for values in (self.low, self.high, holes)))
        place = (holes[rows] * self.along[match[rows]]).sum(axis=1)
        before = np.searchsorted(self.match * wide + self.low - SPARE, match[rows] * wide + place, side="right") - 1
        own = (before >= 0) & (self.match[before] == match[rows])
        there[rows] = own & (place <= self.high[before] + SPARE)
        return there

    def ends(self, phases: Sequence[float], axis: int, pitch: float, boxes: Array) -> tuple[Array, Array]:
        """Return per phase along an axis and match the lowest and the highest hole in its windows, (phases, m).

        They are inf and -inf where there is none. `boxes` (m, 2) bound the holes of what no window along this axis limits.
        """
        look()
        at = np.array(phases)[:, None]
        own = np.flatnonzero(self.axis == axis)
        free = np.ones(len(self.limited), dtype=bool)
        free[self.match[own]] = False
        free = np.flatnonzero(free)
        match = np.concatenate([self.match[own], free])
        low, high = np.concatenate([self.low[own], boxes[free, 0]]), np.concatenate([self.high[own], boxes[free, 1]])
        lowest, highest = (np.full((len(at), len(self.limited)), worst) for worst in (np.inf, -np.inf))
        with np.errstate(invalid="ignore"):
            first = np.ceil((low - at - SPARE) / pitch) * pitch + at
            last = np.floor((high - at + SPARE) / pitch) * pitch + at
        there = first <= last
        np.minimum.at(lowest.T, match, np.where(there, first, np.inf).T)
        np.maximum.at(highest.T, match, np.where(there, last, -np.inf).T)
        return lowest, highest


def free_windows(stacks: Sequence[Stack], found: Sequence[Match], boxes: Array, laid: LaidWeldment) -> FreeWindows:
    """Return the windows of every locator's match with an upright face; `boxes` bound all holes by axis (m, 2, 2), mm."""
    limited, along = np.zeros(len(found), dtype=bool), np.zeros((len(found), 2))
    bodies: list[Hulls] = []
    of: list[tuple[int, int]] = []
    for number, match in enumerate(found):
        stack, level = stacks[match.stack], match.pad.normal[:2]
        if stack.push is not None or match.face.label.startswith("cutout:") or float(np.hypot(*level)) < 1 - PARALLEL:
            continue
        look()
        direction = _direction(level)
        travel = stack.travel if match.pad.moves else None
        if travel is not None and abs(float(travel.axis[:2] @ direction)) > LEVEL:
            continue
        limited[number], along[number] = True, direction
        at = float(match.pad.normal @ (match.face.origin - match.pad.at)) * np.array([*level, 0.0])
        for hulls in [stack.moving] if travel is not None else [stack.still, stack.moving]:
            if len(hulls):
                bodies.append(hulls.shifted(at))
                of += [(number, int(owner)) for owner in hulls.owner]
    shut = _shut(stacks, found, boxes, laid, joined(bodies), np.array(of, dtype=np.intp).reshape(-1, 2), along)
    rows: list[tuple[int, int, float, float]] = []
    for number in np.flatnonzero(limited).tolist():
        look()
        axis = _axis(along[number])
        start, stop = _reach(boxes[number], along[number])
        free = Stretches.of(*shut.get(number, (np.zeros(0), np.zeros(0)))).gaps(start, stop)
        rows += [(number, axis, low, high) for low, high in free.tolist()]
    table = np.array(rows).reshape(-1, 4)
    which, axes = table[:, :2].astype(np.intp).T
    return FreeWindows(which, axes, table[:, 2], table[:, 3], limited, along)


def _direction(level: Array) -> Array:
    """Return the direction along a face with a level normal (2,), unit: an axis as it is, else square to the normal."""
    across = np.array([-level[1], level[0]])
    return np.abs(np.round(across)) if float(np.abs(across).max()) > 1 - PARALLEL else across


def _axis(along: Array) -> int:
    return int(along.argmax()) if float(along.max()) == 1.0 else SLANTED


def _reach(box: Array, along: Array) -> tuple[float, float]:
    """Return from where to where holes within level bounds (2 axes, low and high) lie along a direction."""
    ends = np.sort(box * along[:, None], axis=1).sum(axis=0)
    return float(ends[0]), float(ends[1])


def _shut(
    stacks: Sequence[Stack], found: Sequence[Match], holes: Array, laid: LaidWeldment, bodies: Hulls, of: Index, along: Array
) -> dict[int, tuple[Array, Array]]:
    """Return by match the stretches that parts and welds shut: lows and highs, mm."""
    if not len(bodies):
        return {}
    (boxes, body), (parts, part), (welds, _) = (inner_boxes(hulls) for hulls in (bodies, laid.hulls, laid.weld_hulls))
    of = of[body]
    normal, lines = np.array([match.pad.normal for match in found])[of[:, 0]], along[of[:, 0]]
    top = np.array([len(stacks[match.stack].levels) - 1 for match in found])[of[:, 0]] == of[:, 1]
    meeting = _meeting(stacks, found, holes, len(laid.all_parts))
    touching, unclear = (flags[of[:, 0]][:, laid.hulls.owner[part]] for flags in meeting)
    clear, wide = laid.rules["clear.body"] + EQUAL, laid.rules["clear.weld"] + EQUAL
    tight = min(wide, laid.rules["clear.weld_locator"] + EQUAL)
    every = np.ones(len(boxes))
    slanted = lines.max(axis=1) < 1.0
    asked = (
        (boxes - HARDWARE_EASE * normal[:, None, :], RUNS_INTO * every, touching & ~slanted[:, None], parts),
        (boxes, clear * every, ~(touching | unclear), parts),
        (boxes, clear * every, np.repeat(~top[:, None], len(parts), axis=1), parts),
        (boxes, np.where(top, tight, wide), np.ones((len(boxes), len(welds)), dtype=bool), welds),
    )
    shut = []
    for own, gap, together, other in asked:
        for rows, stretch in ((~slanted, _beside), (slanted, _past)):
            i, j = np.nonzero(together & rows[:, None])
            low, high = stretch(own[i], other[j], lines[i], gap[i])
            near = low < high
            shut.append((low[near], high[near], of[i[near], 0]))
    low, high, row = (np.concatenate(column) for column in zip(*shut, strict=True))
    order = np.argsort(row, kind="stable")
    ends = np.searchsorted(row[order], np.arange(len(found) + 1))
    some = [(number, order[ends[number] : ends[number + 1]]) for number in np.unique(row).tolist()]
    return {number: (low[own], high[own]) for number, own in some}


def _beside(a: Array, b: Array, lines: Array, gap: Array) -> tuple[Array, Array]:
    """Return for boxes (n, 2, 3) that move along an axis from where to where they come nearer than a gap, nan if nowhere."""
    number, along = np.arange(len(a)), lines.argmax(axis=1)
    apart = np.maximum(np.maximum(a[:, 0] - b[:, 1], b[:, 0] - a[:, 1]), 0.0)
    apart[number, along] = 0.0
    left = gap**2 - (apart**2).sum(axis=1)
    reach = np.sqrt(np.where(left > 0, left, np.nan))
    return b[number, 0, along] - a[number, 1, along] - reach, b[number, 1, along] - a[number, 0, along] + reach


def _past(a: Array, b: Array, lines: Array, gap: Array) -> tuple[Array, Array]:
    """Return for boxes (n, 2, 3) that move along a slanted line from where to where they come nearer than a gap, or nan."""
    number = np.arange(len(a))
    return too_near(_hulls(a), number, _hulls(b), number, np.column_stack([lines, np.zeros(len(a))]), gap)


def _hulls(boxes: Array) -> Hulls:
    points = boxes[:, CORNERS, np.arange(3)].reshape(-1, 3)
    return Hulls(points, 8 * np.arange(len(boxes)), np.full(len(boxes), 8, dtype=np.intp), np.arange(len(boxes)))


def _meeting(stacks: Sequence[Stack], found: Sequence[Match], holes: Array, parts: int) -> tuple[Flags, Flags]:
    """Return by match the parts it touches or may touch in one plane, and those its stack may touch otherwise, (m, parts).

    From one hole, that is: bounds of holes (m, 2, 2) meet; and by another pad, for one pad is in one plane at a time.
    """
    stack, part = (np.array(column, dtype=np.intp) for column in zip(*((m.stack, m.face.part) for m in found), strict=True))
    pad = np.array([match.pad_index for match in found], dtype=np.intp)
    height = np.array([float(match.pad.normal @ match.face.origin) for match in found])
    one, other = from_one_hole(stack, holes)
    same = pad[one] == pad[other]
    level = same & (np.abs(height[one] - height[other]) <= ONE_PLANE)
    touching, unclear = np.zeros((len(found), parts), dtype=bool), np.zeros((len(found), parts), dtype=bool)
    touching[one[level], part[other[level]]] = True
    unclear[one[~same], part[other[~same]]] = True
    return touching, unclear & ~touching


def from_one_hole(stack: Index, holes: Array) -> tuple[Index, Index]:
    """Return pairs of matches (each with itself, too) of one stack whose holes may be one: their bounds (m, axes, ends) meet."""
    order = np.argsort(stack, kind="stable")
    start, stop = (np.searchsorted(stack[order], stack, side=side) for side in ("left", "right"))
    one = np.repeat(np.arange(len(stack)), stop - start)
    place = np.arange(len(one)) - np.repeat(np.cumsum(stop - start) - (stop - start), stop - start)
    other = order[np.repeat(start, stop - start) + place]
    low, high = holes[:, :, 0], holes[:, :, 1]
    near: Flags = ((low[one] <= high[other] + TOUCH) & (low[other] <= high[one] + TOUCH)).all(axis=1) | (one == other)
    return one[near], other[near]
