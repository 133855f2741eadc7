"""Where a bead has room along the lines at which two parts touch: an open wedge, not within a hollow, with nothing in the way."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from inventory.shapes import Prism
from solver.drafting.touching.drawn_parts import DrawnPart, drawn_part
from solver.drafting.touching.grooves import grooves
from solver.drafting.touching.kinds import kind_of, size_of
from solver.drafting.touching.lines import TouchingLine, each_once, edges_around_round, edges_beside_round, edges_on_faces
from solver.drafting.touching.meeting import Meeting
from solver.geometry.edges import Interval, stretches_inside, without
from solver.geometry.joints import Wedge
from solver.geometry.many_wedges import many_wedges
from solver.geometry.points import inside
from solver.weldment import Part, WeldKind

BESIDE = 1.0
"""What lies at this distance from a bead's root, along the middle of its wedge, lies in its way, mm."""
LOOKED_AT = (0.05, 0.5, 0.95)
"""Shares of a bead at which it is first looked whether it lies in a hollow."""
REMEMBERED = 4096
"""Pairs of parts whose beads are remembered: whoever draws changes one part at a time."""


@dataclass(frozen=True)
class StraightBead:
    """A straight stretch with room for a bead: its line, its wedge, its kind; `several` wedges are open there, this is one."""

    line: TouchingLine
    wedge: Wedge
    kind: WeldKind
    several: bool

    def pieces(self, intervals: Sequence[Interval]) -> list[StraightBead]:
        """Return stretches of it, by mm from its start."""
        return [StraightBead(line, self.wedge, self.kind, self.several) for line in self.line.pieces(intervals)]


@lru_cache(maxsize=REMEMBERED)
def straight_beads(one: Part, two: Part) -> tuple[StraightBead, ...]:
    """Return the straight beads that two parts offer, whatever else lies there."""
    meeting = Meeting(drawn_part(one), drawn_part(two))
    return tuple(_with_room(meeting, touching_lines(meeting.one, meeting.two)))


def touching_lines(one: DrawnPart, two: DrawnPart) -> list[TouchingLine]:
    """Return the lines along which two parts touch, each stretch once; some may have no room for a bead beside them."""
    found = [*edges_on_faces(one, two), *edges_on_faces(two, one), *edges_around_round(one, two), *edges_around_round(two, one)]
    beside = grooves(one, two)
    if beside.touching or found:
        found += [*edges_beside_round(one, two), *edges_beside_round(two, one)]
    return each_once([*found, *beside.lines])


def _with_room(meeting: Meeting, lines: Sequence[TouchingLine]) -> Iterator[StraightBead]:
    if not lines:
        return
    size = size_of(meeting)
    middles, tangents = np.array([line.middle for line in lines]), np.array([line.tangent for line in lines])
    sizes = np.array([size.leg if line.outwards is None else size.throat * math.sqrt(2) for line in lines])
    found = many_wedges(middles, tangents, (meeting.one.prism, meeting.two.prism), sizes)
    beads = [
        StraightBead(line, wedge, kind_of(line, math.degrees(wedge.opening), meeting), there.several)
        for line, there in zip(lines, found, strict=True)
        for wedge in there.wedges
        if line.outwards is None or float(wedge.bisector @ line.outwards) > 0
    ]
    bores = [bore for body in (meeting.one, meeting.two) for bore in body.bores]
    for bead, hidden in zip(beads, _in_any(bores, beads), strict=True):
        yield from _clear_of(bead, [BESIDE], bores) if hidden else (bead,)


def _in_any(bores: Sequence[Prism], beads: Sequence[StraightBead]) -> list[bool]:
    """Return which beads may lie in a hollow: at either end or in their middle."""
    if not beads:
        return []
    shares = np.array(LOOKED_AT)[:, None]
    rows = [(1 - shares) * bead.line.ends[0] + shares * bead.line.ends[1] + BESIDE * bead.wedge.bisector for bead in beads]
    places = np.concatenate(rows)
    found = np.zeros(len(places), dtype=bool)
    for bore in bores:
        found |= inside(bore, places)
    return [bool(row.any()) for row in found.reshape(len(beads), -1)]


def clear_beads(beads: Sequence[StraightBead], leg: float, others: Sequence[DrawnPart]) -> list[StraightBead]:
    """Return the stretches of beads of some leg (mm) where none of `others` lies in the way."""
    found: list[StraightBead] = []
    for bead in beads:
        low, high = bead.line.ends.min(axis=0) - leg, bead.line.ends.max(axis=0) + leg
        near = [body.filled for body in others if (body.box[0] < high).all() and (body.box[1] > low).all()]
        found += _clear_of(bead, [BESIDE, max(BESIDE, leg / math.sqrt(2))], near) if near else (bead,)
    return found


def _clear_of(bead: StraightBead, distances: Sequence[float], solids: Sequence[Prism]) -> Sequence[StraightBead]:
    """Return the stretches of a bead beside which, so far from its root (mm), none of some solids lies."""
    taken: list[Interval] = []
    for distance in distances:
        start, end = bead.line.ends + distance * bead.wedge.bisector
        for solid in solids:
            taken += stretches_inside(solid, start, end)
    return bead.pieces(without((0.0, bead.line.length), taken)) if taken else (bead,)
