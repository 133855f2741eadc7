"""Which places of the lattice promise most: what locators and clamps would cost there at least, roughly, all places at once."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np

from inventory.shapes import Array
from tests.oracle.laying import Lying
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
        total = np.zeros(shape)
        for part in lying.parts:
            total += _located(lying, part.index, cheapest, shape)
        if len(lying.parts) > 1:
            total = total / 2
            total = np.maximum(total, np.max([_located(lying, part.index, cheapest, shape) for part in lying.parts], axis=0))
        return Floors(xs, ys, total + np.min(clamps, axis=0))

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


def _located(lying: Lying, part: int, cheapest: dict[tuple[int, int, int], Array], shape: tuple[int, int]) -> Array:
    """Return about what a part's two side points and its end cost."""
    nothing = np.full(shape, math.inf)
    sides = []
    for axis in (0, 1):
        given = any(part in (mate.part, mate.on) and abs(mate.normal[axis]) > 0.5 for mate in lying.mates)
        own = np.minimum(cheapest.get((part, axis, 1), nothing), cheapest.get((part, axis, -1), nothing))
        sides.append(np.zeros(shape) if given else own)
    return np.minimum(2 * sides[0] + sides[1], sides[0] + 2 * sides[1])
