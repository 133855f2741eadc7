"""Which places of the lattice promise most: what locators and clamps would cost there at least, roughly, all places at once."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import combinations, product

import numpy as np

from inventory.shapes import Array
from tests.oracle.laying import Lying, Mate
from tests.oracle.meetings import NEAR, Meeting

MOST_ENDS = 120


@dataclass(frozen=True)
class Floors:
    """Places xs, ys (modulo the pitch) and about what any fixture there costs, (len(xs), len(ys)); infinite where none can be."""

    xs: Array
    ys: Array
    cents: Array

    @staticmethod
    def of(lying: Lying, found: Sequence[Meeting], cents: dict[int, float], pitch: float, grid: float) -> Floors:
        """Return the places at which fixed pads or clamp tips begin to meet something, and a grid besides."""
        xs, ys = (_phases(found, axis, pitch, grid) for axis in (0, 1))
        shape = (len(xs), len(ys))
        cheapest: dict[tuple[int, int, int], Array] = {}
        clamps = [np.full(shape, math.inf) for _ in lying.parts]
        for meeting in found:
            here = np.outer(_there(meeting, 0, xs, pitch), _there(meeting, 1, ys, pitch))
            cost = np.where(here, cents[id(meeting.stack)], math.inf)
            part = meeting.flat.part
            if meeting.stack.clamps:
                clamps[part] = np.minimum(clamps[part], cost)
                continue
            key = (part, meeting.pad.axis, meeting.pad.sense)
            cheapest[key] = np.minimum(cheapest.get(key, np.full(shape, math.inf)), cost)
        located = _all_located(lying, cheapest, shape)
        needed = [part.length / lying.request.rules["clamp.per_length"] for part in lying.parts]
        held = [max(1, math.ceil(length - 1e-9)) * cost for length, cost in zip(needed, clamps, strict=True)]
        return Floors(xs, ys, located + (np.max(held, axis=0) if _over_each_other(lying, found) else np.sum(held, axis=0)))

    def promising(self) -> Iterator[tuple[float, tuple[float, float]]]:
        """Yield (cents, place) of all places where a fixture can be."""
        for i, j in zip(*np.nonzero(np.isfinite(self.cents)), strict=True):
            yield float(self.cents[i, j]), (float(self.xs[i]), float(self.ys[j]))


def _phases(found: Sequence[Meeting], axis: int, pitch: float, grid: float) -> Array:
    ends: set[float] = set()
    for meeting in found:
        low, high = float(meeting.low[axis]), float(meeting.high[axis])
        wanted = [low] if high - low < 1e-9 else [low + 1e-6, high - 1e-6] if meeting.stack.clamps else []
        ends |= {round(value % pitch, 6) % pitch for value in wanted}
    every = sorted(ends)[:: max(1, math.ceil(len(ends) / MOST_ENDS))]
    return np.array(sorted({*every, *np.arange(0.0, pitch, grid).tolist()}))


def _there(meeting: Meeting, axis: int, phases: Array, pitch: float) -> Array:
    """Return whether a hole of the lattice falls where the meeting wants it, for each phase."""
    low, high = meeting.low[axis] - NEAR, meeting.high[axis] + NEAR
    found: Array = np.ceil((low - phases) / pitch) <= np.floor((high - phases) / pitch)
    return found


def _all_located(lying: Lying, cheapest: dict[tuple[int, int, int], Array], shape: tuple[int, int]) -> Array:
    """Return about what locating all parts costs, whichever of two parts side by side gives the other its place."""
    level = [mate for mate in lying.mates if abs(mate.normal[2]) < 0.5]
    best = np.full(shape, math.inf)
    for ways in product((0, 1), repeat=len(level)):
        mates = [mate.other_way if way else mate for mate, way in zip(level, ways, strict=True)]
        each = [_located(mates, part.index, cheapest, shape) for part in lying.parts]
        total = np.sum(each, axis=0)
        best = np.minimum(best, np.maximum(total / 2, np.max(each, axis=0)) if _flush(lying) else total)
    return best


def _located(mates: Sequence[Mate], part: int, cheapest: dict[tuple[int, int, int], Array], shape: tuple[int, int]) -> Array:
    """Return about what a part's two side points and its end cost."""
    nothing = np.full(shape, math.inf)
    sides = []
    for axis in (0, 1):
        given = any(mate.part == part and abs(mate.normal[axis]) > 0.5 for mate in mates)
        own = np.minimum(cheapest.get((part, axis, 1), nothing), cheapest.get((part, axis, -1), nothing))
        sides.append(np.zeros(shape) if given else own)
    return np.minimum(2 * sides[0] + sides[1], sides[0] + 2 * sides[1])


def _flush(lying: Lying) -> bool:
    """Return whether one pad might meet upright faces of two parts."""
    faces = [flat for part in lying.parts for flat in part.flats if flat.axis < 2]
    return any(
        a.part != b.part and a.axis == b.axis and a.sense == b.sense and abs(a.plane - b.plane) < 2 * NEAR
        for a, b in combinations(faces, 2)
    )


def _over_each_other(lying: Lying, found: Sequence[Meeting]) -> bool:
    """Return whether one clamp's line of force might pass through two parts: seen along its push they lie over each other."""
    axes = {meeting.pad.axis for meeting in found if meeting.stack.clamps}
    for one, other in combinations(lying.parts, 2):
        shared = np.minimum(one.box[3:], other.box[3:]) - np.maximum(one.box[:3], other.box[:3])
        if any(np.delete(shared, axis).min() > 0 for axis in axes):
            return True
    return False
