"""Where a stack's hole may be so that a pad meets a face: rectangles of places, found from the documents by plain arithmetic."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np

from inventory.shapes import Array
from solver.rule_book import VALUES
from tests.oracle.laying import Flat, Lying
from tests.oracle.stacks import Pad, Stack

NEAR = 0.045
"""A pad this near its face touches it, mm."""
LEAST_SHARE = 0.25
"""A pad meets at least this share of the lesser of pad and face where the rule book asks for less or says nothing."""
WELL_IN = 1.0
"""A clamp's tip stands at least this far inside its face, mm: whether a border belongs to it is nobody's quarrel."""
SIDEWAYS = 5
"""Settings tried of a slide that moves its pad along the face."""


@dataclass(frozen=True)
class Meeting:
    """A stack's pad that can meet a face with its hole anywhere from `low` to `high` (x, y); `setting` if it is a fixed one."""

    stack: Stack
    pad: Pad
    flat: Flat
    low: Array
    high: Array
    setting: float | None

    def setting_at(self, base: Array) -> float | None:
        """Return the setting that brings the pad onto the face, in whole steps; None if none brings it near enough."""
        if self.setting is not None or self.stack.settings is None:
            return self.setting
        low, high, step = self.stack.settings
        axis = self.pad.axis
        off = self.flat.plane - self.pad.box[axis] - (base[axis] if axis < 2 else 0.0)
        wanted = float(off / self.stack.path[axis])
        exact = low + round((wanted - low) / step) * step if step > 0 else wanted
        exact = min(max(exact, low), high)
        return round(exact, 6) if abs(exact - wanted) * abs(self.stack.path[axis]) <= NEAR else None


def meetings(lying: Lying, stacks: Sequence[Stack]) -> list[Meeting]:
    """Return all meetings of stacks with the faces of the parts."""
    flats = [flat for part in lying.parts for flat in part.flats]
    return [
        meeting
        for stack in stacks
        for pad in stack.pads
        for flat in flats
        if pad.axis == flat.axis and pad.sense == -flat.sense
        for meeting in _meet(lying, stack, pad, flat)
    ]


def _meet(lying: Lying, stack: Stack, pad: Pad, flat: Flat) -> Iterator[Meeting]:
    along = bool(abs(stack.path[pad.axis]) > 1e-9) and pad.moves
    settings: list[float | None] = [None]
    if stack.settings is not None and not along:
        low, high, step = stack.settings
        ranges = np.linspace(low, high, SIDEWAYS)
        settings = [float(low + round((value - low) / step) * step if step > 0 else value) for value in ranges]
    for setting in settings:
        box = pad.box
        if setting is not None and pad.moves:
            shift = stack.path * setting
            box = box + np.concatenate([shift, shift])
        yield from _places(lying, stack, Pad(pad.axis, pad.sense, box, pad.moves), flat, setting, along=along)


def _places(lying: Lying, stack: Stack, pad: Pad, flat: Flat, setting: float | None, *, along: bool) -> Iterator[Meeting]:
    low, high = np.full(3, -np.inf), np.full(3, np.inf)
    for axis in range(3):
        if axis == pad.axis:
            continue
        size = min(pad.box[axis + 3] - pad.box[axis], flat.box[axis + 3] - flat.box[axis])
        need = max(0.5, size * share(lying, clamp=stack.clamps) + 1e-6)
        low[axis] = flat.box[axis] - pad.box[axis + 3] + need
        high[axis] = flat.box[axis + 3] - pad.box[axis] - need
        if stack.clamps:
            middle = (pad.box[axis] + pad.box[axis + 3]) / 2
            low[axis] = max(low[axis], flat.box[axis] - middle + WELL_IN)
            high[axis] = min(high[axis], flat.box[axis + 3] - middle - WELL_IN)
    off = flat.plane - pad.box[pad.axis]
    low[pad.axis] = high[pad.axis] = off
    if along and stack.settings is not None:
        ends = off - stack.path[pad.axis] * np.array(stack.settings[:2])
        low[pad.axis], high[pad.axis] = ends.min(), ends.max()
    if (low > high).any() or low[2] > NEAR or high[2] < -NEAR:
        return
    yield Meeting(stack, pad, flat, low[:2], high[:2], setting)


def share(lying: Lying, *, clamp: bool) -> float:
    """Return the share of the lesser of pad and face that a pad must meet."""
    name = "clamp.pad_share" if clamp else "locate.pad_share"
    return max(LEAST_SHARE, lying.request.rules[name]) if name in VALUES else LEAST_SHARE
