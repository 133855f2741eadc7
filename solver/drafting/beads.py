"""Where a bead has room along the lines at which two parts touch: an open wedge, not within a hollow, with nothing in the way."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np

from solver.drafting.drawn_parts import DrawnPart
from solver.drafting.kinds import Size, kind_at, size_of
from solver.drafting.touching_lines import TouchingLine
from solver.geometry.edges import Interval, stretches_inside, without
from solver.geometry.joints import Wedge
from solver.geometry.many_wedges import many_wedges
from solver.weldment import WeldKind

BESIDE = 1.0
"""What lies at this distance from a bead's root, along the middle of its wedge, lies in its way, mm."""


@dataclass(frozen=True)
class StraightBead:
    """A straight stretch with room for a bead: its line, its wedge, its kind; `several` wedges open, one of which is this."""

    line: TouchingLine
    wedge: Wedge
    kind: WeldKind
    several: bool


def straight_beads(
    one: DrawnPart, two: DrawnPart, lines: Sequence[TouchingLine], others: Sequence[DrawnPart] = ()
) -> Iterator[StraightBead]:
    """Yield the stretches of lines on two parts with room for a bead; `others` are parts that may lie in the way."""
    if not lines:
        return
    size = size_of(one.thickness, two.thickness)
    middles, tangents = np.array([line.middle for line in lines]), np.array([line.tangent for line in lines])
    sizes = np.array([size.leg if line.outwards is None else size.throat * math.sqrt(2) for line in lines])
    found = many_wedges(middles, tangents, (one.prism, two.prism), sizes)
    for line, open_wedges in zip(lines, found, strict=True):
        for wedge in open_wedges.wedges:
            if line.outwards is not None and float(wedge.bisector @ line.outwards) < 0:
                continue
            free = list(_free(line, wedge, size, (one, two), others))
            if free:
                kind = kind_at(line, math.degrees(wedge.opening), one, two)
                yield from (StraightBead(line.piece(stretch), wedge, kind, open_wedges.several) for stretch in free)


def _free(line: TouchingLine, wedge: Wedge, size: Size, own: Sequence[DrawnPart], others: Sequence[DrawnPart]) -> list[Interval]:
    """Return the stretches of a line beside which nothing lies within the wedge."""
    shifts = {BESIDE: BESIDE * wedge.bisector, size.leg: max(BESIDE, size.leg / math.sqrt(2)) * wedge.bisector}
    near, far = line.ends + shifts[BESIDE], line.ends + shifts[size.leg]
    low, high = np.minimum(near, far).min(axis=0), np.maximum(near, far).max(axis=0)
    taken: list[Interval] = []
    for body in own:
        if body.filled is not None:
            taken += stretches_inside(body.filled, near[0], near[1])
    for body in others:
        if (body.box[0] < high).all() and (body.box[1] > low).all():
            for start, end in (near, far):
                taken += stretches_inside(body.filled or body.prism, start, end)
    return without((0.0, line.length), taken)
