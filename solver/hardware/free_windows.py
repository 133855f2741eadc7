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
from solver.geometry.free_intervals import Stretches
from solver.geometry.hulls import Flags, Hulls, Index, joined
from solver.geometry.proximity import boxes_within
from solver.geometry.tolerances import HARDWARE_EASE, LEVEL, ROUNDING, RUNS_INTO
from solver.hardware.matching import Match
from solver.hardware.stacks import Stack
from solver.laying.laid_weldment import LaidWeldment

SPARE = 1e-6
"""A hole at a window's very end is in it, mm."""


@dataclass(frozen=True)
class FreeWindows:
    """Windows for the holes of some matches, sorted by match: along which axis they lie and from where to where, mm.

    `limited` (m,) says which matches have windows; the others are limited by nothing known.
    """

    match: Index
    axis: Index
    low: Array
    high: Array
    limited: Flags

    @staticmethod
    def none(matches: int) -> FreeWindows:
        """Return no windows: so many matches limited by nothing."""
        empty = np.zeros(0, dtype=np.intp)
        return FreeWindows(empty, empty, np.zeros(0), np.zeros(0), np.zeros(matches, dtype=bool))

    def take(self, alive: Flags) -> FreeWindows:
        """Return the windows of some matches, numbered anew."""
        number = np.cumsum(alive) - 1
        rows = alive[self.match]
        return FreeWindows(number[self.match[rows]], self.axis[rows], self.low[rows], self.high[rows], self.limited[alive])

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
        axis_of = np.zeros(len(self.limited), dtype=np.intp)
        axis_of[self.match] = self.axis
        place = holes[rows, axis_of[match[rows]]]
        before = np.searchsorted(self.match * wide + self.low - SPARE, match[rows] * wide + place, side="right") - 1
        own = (before >= 0) & (self.match[before] == match[rows])
        there[rows] = own & (place <= self.high[before] + SPARE)
        return there

    def has_hole(self, phases: Sequence[float], axis: int, pitch: float) -> Flags:
        """Return per phase along an axis and match whether a hole lies in one of its windows, (phases, m)."""
        at = np.array(phases)
        there = np.ones((len(at), len(self.limited)), dtype=bool)
        along = np.flatnonzero(self.axis == axis)
        limited = np.unique(self.match[along])
        there[:, limited] = False
        first = np.ceil((self.low[along] - at[:, None] - SPARE) / pitch)
        within = first * pitch + at[:, None] <= self.high[along] + SPARE
        for row, match in enumerate(self.match[along].tolist()):
            there[:, match] |= within[:, row]
        return there


def free_windows(stacks: Sequence[Stack], found: Sequence[Match], boxes: Array, laid: LaidWeldment) -> FreeWindows:
    """Return the windows of every locator's match with a face that looks along an axis; `boxes` bound all holes by axis (m, 2, 2), mm."""
    limited = np.zeros(len(found), dtype=bool)
    bodies: list[Hulls] = []
    of: list[tuple[int, int]] = []
    for number, match in enumerate(found):
        stack, axis = stacks[match.stack], int(np.abs(match.pad.normal[:2]).argmin())
        place = match.hole_at(1 - axis)
        if stack.push is not None or place is None or match.face.label.startswith("cutout:"):
            continue
        travel = stack.travel if match.pad.moves else None
        if travel is not None and abs(float(travel.axis[axis])) > LEVEL:
            continue
        at = np.zeros(3)
        at[1 - axis] = place
        limited[number] = True
        own = [stack.moving] if travel is not None else [stack.still, stack.moving]
        for hulls in own:
            if len(hulls):
                bodies.append(hulls.shifted(at))
                of += [(number, int(level)) for level in hulls.owner]
    stretches = _shut(stacks, found, laid, joined(bodies), np.array(of, dtype=np.intp).reshape(-1, 2))
    match_rows, axes, lows, highs = [], [], [], []
    for number in np.flatnonzero(limited).tolist():
        axis = int(np.abs(found[number].pad.normal[:2]).argmin())
        low, high = stretches.get(number, (np.zeros(0), np.zeros(0)))
        for start, stop in Stretches.of(low, high).gaps(*boxes[number, axis].tolist()):
            match_rows.append(number)
            axes.append(axis)
            lows.append(start)
            highs.append(stop)
    return FreeWindows(
        np.array(match_rows, dtype=np.intp), np.array(axes, dtype=np.intp), np.array(lows), np.array(highs), limited
    )


def _shut(
    stacks: Sequence[Stack], found: Sequence[Match], laid: LaidWeldment, bodies: Hulls, of: Array
) -> dict[int, tuple[Array, Array]]:
    """Return by match the stretches that parts and welds shut: lows and highs, mm."""
    if not len(bodies):
        return {}
    normal = np.array([match.pad.normal for match in found])[of[:, 0]]
    along = np.abs(normal[:, :2]).argmin(axis=1)
    boxes = np.where(bodies.box_shaped[:, None, None], bodies.boxes, boxes_within(bodies, np.arange(len(bodies))))
    top = np.array([len(stacks[match.stack].levels) - 1 for match in found])[of[:, 0]] == of[:, 1]
    parts, welds = laid.hulls, laid.weld_hulls
    touching, unclear = _meeting(stacks, found, len(laid.parts))
    clear, wide = laid.rules["clear.body"], laid.rules["clear.weld"]
    tight = min(wide, laid.rules["clear.weld_locator"])
    eased = boxes - HARDWARE_EASE * normal[:, None, :]
    lows: list[Array] = []
    highs: list[Array] = []
    rows: list[Array] = []
    part_boxes = np.where(parts.box_shaped[:, None, None], parts.boxes, boxes_within(parts, np.arange(len(parts))))
    for own, gap, there, other in (
        (eased, np.full(len(boxes), RUNS_INTO), touching[of[:, 0]][:, parts.owner], part_boxes),
        (boxes, np.full(len(boxes), clear + ROUNDING), ~(touching | unclear)[of[:, 0]][:, parts.owner], part_boxes),
        (boxes, np.full(len(boxes), clear + ROUNDING), ~top[:, None] & np.ones((1, len(parts)), dtype=bool), part_boxes),
        (boxes, np.where(top, tight, wide) + ROUNDING, np.ones((len(boxes), len(welds)), dtype=bool), boxes_within(welds, np.arange(len(welds)))),
    ):
        i, j = np.nonzero(there)
        low, high = _stretch(own[i], other[j], gap[i], along[i])
        shuts = low < high
        lows.append(low[shuts])
        highs.append(high[shuts])
        rows.append(of[i[shuts], 0])
    low, high, row = np.concatenate(lows), np.concatenate(highs), np.concatenate(rows)
    order = np.argsort(row, kind="stable")
    ends = np.searchsorted(row[order], np.arange(len(found) + 1))
    return {
        number: (low[order[ends[number] : ends[number + 1]]], high[order[ends[number] : ends[number + 1]]])
        for number in np.unique(row).tolist()
    }


def _stretch(a: Array, b: Array, gap: Array, along: Index) -> tuple[Array, Array]:
    """Return for boxes (n, 2, 3) that move along an axis from where to where they come nearer than a gap, nan if nowhere."""
    apart = np.maximum(np.maximum(a[:, 0] - b[:, 1], b[:, 0] - a[:, 1]), 0.0)
    number = np.arange(len(a))
    apart[number, along] = 0.0
    left = gap**2 - (apart**2).sum(axis=1)
    reach = np.sqrt(np.where(left > 0, left, np.nan))
    return b[number, 0, along] - a[number, 1, along] - reach, b[number, 1, along] - a[number, 0, along] + reach


def _meeting(stacks: Sequence[Stack], found: Sequence[Match], parts: int) -> tuple[Flags, Flags]:
    """Return by match the parts it touches, or may touch in the same plane, and those its stack may touch otherwise, (m, parts)."""
    planes: dict[tuple[int, int, float], set[int]] = {}
    any_way: dict[int, set[int]] = {}
    for match in found:
        planes.setdefault(_plane(match), set()).add(match.face.part)
        any_way.setdefault(match.stack, set()).add(match.face.part)
    touching, unclear = np.zeros((len(found), parts), dtype=bool), np.zeros((len(found), parts), dtype=bool)
    for number, match in enumerate(found):
        touching[number, list(planes[_plane(match)])] = True
        unclear[number, list(any_way[match.stack])] = True
    return touching, unclear & ~touching


def _plane(match: Match) -> tuple[int, int, float]:
    return match.stack, match.pad_index, round(float(match.pad.normal @ match.face.origin), 1)
