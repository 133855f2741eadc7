"""Where a bead has room along the lines at which two parts touch: an open wedge, not within a hollow, with nothing in the way."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np

from inventory.shapes import Prism
from solver.drafting.remembering import PAIRS, remembered
from solver.drafting.touching.grooves import grooves
from solver.drafting.touching.kinds import kind_of, size_of
from solver.drafting.touching.lines import TouchingLine, each_once, edges_around_round, edges_beside_round, edges_on_faces
from solver.drafting.touching.parts_in_place import PartInPlace, in_place
from solver.drafting.touching.touching_pair import TouchingPair
from solver.geometry.edges import Interval, stretches_inside, without
from solver.geometry.joints import Wedge
from solver.geometry.many_wedges import many_wedges
from solver.geometry.points import inside
from solver.weldment import Part, WeldKind

BESIDE = 1.0
"""What lies at this distance from a bead's root, along the middle of its wedge, lies in its way, mm."""
ALIKE = 0.9
"""Wedges whose middles are this near, cosine, are one, looked at in two places."""
LOOKED_AT = (0.05, 0.5, 0.95)
"""Shares of a bead at which it is first looked whether it lies in a hollow."""


@dataclass(frozen=True)
class StraightBead:
    """A straight stretch with room for a bead: its line, its wedge, its kind; `several` wedges are open there, this is one."""

    line: TouchingLine
    wedge: Wedge
    kind: WeldKind
    several: bool


@remembered(PAIRS)
def straight_beads(one: Part, two: Part) -> tuple[StraightBead, ...]:
    """Return the straight beads that two parts offer, whatever else lies there."""
    pair = TouchingPair(in_place(one), in_place(two))
    return tuple(_with_room(pair, touching_lines(pair.one, pair.two)))


def touching_lines(one: PartInPlace, two: PartInPlace) -> list[TouchingLine]:
    """Return the lines along which two parts touch, each stretch once; some may have no room for a bead beside them."""
    found = [*edges_on_faces(one, two), *edges_on_faces(two, one), *edges_around_round(one, two), *edges_around_round(two, one)]
    beside = grooves(one, two)
    if beside.touching or found:
        found += [*edges_beside_round(one, two), *edges_beside_round(two, one)]
    return each_once([*found, *beside.lines])


def _with_room(pair: TouchingPair, lines: Sequence[TouchingLine]) -> Iterator[StraightBead]:
    beads = _judged(pair, lines)
    bores = [bore for body in (pair.one, pair.two) for bore in body.bores]
    for bead, hidden in zip(beads, _in_any(bores, beads), strict=True):
        yield from _clear_of(pair, bead, [BESIDE], bores) if hidden else (bead,)


def _judged(pair: TouchingPair, lines: Sequence[TouchingLine]) -> list[StraightBead]:
    """Return a bead for each open wedge in the middle of each line."""
    if not lines:
        return []
    size = size_of(pair)
    middles, tangents = np.array([line.middle for line in lines]), np.array([line.tangent for line in lines])
    sizes = np.array([size.leg if line.outwards is None else size.throat * math.sqrt(2) for line in lines])
    found = many_wedges(middles, tangents, (pair.one.prism, pair.two.prism), sizes)
    return [
        StraightBead(line, wedge, kind_of(line, math.degrees(wedge.opening), pair), there.several)
        for line, there in zip(lines, found, strict=True)
        for wedge in there.wedges
        if line.outwards is None or float(wedge.bisector @ line.outwards) > 0
    ]


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


def clear_beads(pair: TouchingPair, beads: Sequence[StraightBead], others: Sequence[PartInPlace]) -> list[StraightBead]:
    """Return the stretches of two parts' beads where none of `others` lies in the way."""
    leg = size_of(pair).leg
    found: list[StraightBead] = []
    for bead in beads:
        low, high = bead.line.ends.min(axis=0) - leg, bead.line.ends.max(axis=0) + leg
        near = [body.filled for body in others if (body.box[0] < high).all() and (body.box[1] > low).all()]
        found += _clear_of(pair, bead, [BESIDE, max(BESIDE, leg / math.sqrt(2))], near)
    return found


def _clear_of(
    pair: TouchingPair, bead: StraightBead, distances: Sequence[float], solids: Sequence[Prism]
) -> Sequence[StraightBead]:
    """Return the stretches of a bead beside which, so far from its root (mm), none of some solids lies.

    What is left of a bead has another middle, and is judged there again.
    """
    taken: list[Interval] = []
    for solid in solids:
        for distance in distances:
            taken += stretches_inside(solid, *(bead.line.ends + distance * bead.wedge.bisector))
    if not taken:
        return (bead,)
    left = _judged(pair, bead.line.pieces(without((0.0, bead.line.length), taken)))
    return [piece for piece in left if float(piece.wedge.bisector @ bead.wedge.bisector) > ALIKE]
