"""The lines along which two parts touch: edges on faces, edges beside round surfaces, the grooves beside round surfaces."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np

from inventory.shapes import Array
from solver.drafting.drawn_parts import ON, DrawnPart, Flank
from solver.geometry.edges import Interval, lengthened, stretches_on, without
from solver.geometry.faces import Face
from solver.geometry.tolerances import PARALLEL, ROUND_TOUCH, TOUCH

ROOT = 0.8
"""A bead in the groove beside a round surface has its root where the groove is this wide, mm: nearer in no wire comes."""
SHORT = 0.05
"""A stretch shorter than this is an edge only met at a point, mm."""


@dataclass(frozen=True)
class TouchingLine:
    """A straight stretch that lies on both of two parts.

    `ends` are its points (2, 3), `normal` that of the surface it lies on, away from that surface's part; `edge_of` the index of
    the part whose edge it is. `outwards` is set in the groove beside a round surface: away from where the two touch.
    """

    ends: Array
    normal: Array
    edge_of: int
    outwards: Array | None = None

    @property
    def length(self) -> float:
        """Its length, mm."""
        return float(np.linalg.norm(self.ends[1] - self.ends[0]))

    @property
    def tangent(self) -> Array:
        """Its direction, unit."""
        tangent: Array = (self.ends[1] - self.ends[0]) / self.length
        return tangent

    @property
    def middle(self) -> Array:
        """Its middle."""
        middle: Array = self.ends.mean(axis=0)
        return middle

    def piece(self, interval: Interval) -> TouchingLine:
        """Return a stretch of it, by mm from its start."""
        start, tangent = self.ends[0], self.tangent
        ends = np.stack([start + interval[0] * tangent, start + interval[1] * tangent])
        return TouchingLine(ends, self.normal, self.edge_of, self.outwards)


def touching_lines(one: DrawnPart, two: DrawnPart) -> list[TouchingLine]:
    """Return the lines along which two parts touch, each stretch once; some may have no room for a bead beside them."""
    found = [*_edges_on_faces(one, two), *_edges_on_faces(two, one)]
    beside = [*_beside_round(one, two), *_beside_round(two, one), *_round_beside_round(one, two)]
    touching = bool(found or beside)
    found += [line for _, line in beside if line is not None]
    if touching:
        found += [*_edges_beside_round(one, two), *_edges_beside_round(two, one)]
    return _each_once(found)


def _edges_on_faces(own: DrawnPart, other: DrawnPart) -> Iterator[TouchingLine]:
    """Yield stretches of a part's edges that lie on another's faces."""
    low, high = other.box[0] - TOUCH, other.box[1] + TOUCH
    edges = own.edges
    edges = edges[((edges.max(axis=1) >= low) & (edges.min(axis=1) <= high)).all(axis=1)]
    normals, heights = other.planes
    off = np.abs(edges @ normals.T - heights).max(axis=1)
    for edge, number in zip(*np.nonzero(off <= TOUCH), strict=True):
        face = other.faces[number]
        yield from _on(face, TouchingLine(edges[edge], face.normal, own.index))


def _on(face: Face, line: TouchingLine) -> list[TouchingLine]:
    start, end = face.flat(line.ends)
    low_a, low_b, high_a, high_b = face.shape.bounds
    least, most = np.minimum(start, end) - TOUCH, np.maximum(start, end) + TOUCH
    if most[0] < low_a or most[1] < low_b or least[0] > high_a or least[1] > high_b:
        return []
    return [line.piece(stretch) for stretch in stretches_on(face.shape, start, end) if stretch[1] - stretch[0] > SHORT]


def _beside_round(own: DrawnPart, other: DrawnPart) -> Iterator[tuple[bool, TouchingLine | None]]:
    """Yield of each place where a part's round surface touches another's face the line of the bead beside it, or None."""
    if not own.radius:
        return
    normals, heights = other.planes
    tolerance = TOUCH + (ROUND_TOUCH * 2 * own.radius if own.part.section.round else 0.0)
    for number in np.flatnonzero(np.abs(normals @ own.axis) < PARALLEL).tolist():
        face = other.faces[number]
        for flank in _flanks_towards(own, face):
            gap = float(flank.at @ normals[number]) - float(heights[number])
            if not -tolerance <= gap <= TOUCH:
                continue
            at = flank.at - gap * normals[number]
            if own.part.section.round and not list(_on_widened(face, other, own, at, flank)):
                continue
            width = groove_width(own.radius, gap)
            lines = list(_on_widened(face, other, own, at + width * flank.outwards, flank))
            yield from ((True, line) for line in lines)
            if own.part.section.round and not lines:
                yield True, None


def _flanks_towards(own: DrawnPart, face: Face) -> list[Flank]:
    if own.part.section.round:
        way = np.cross(face.normal, own.axis)
        at = own.frame[:3, 3] - own.radius * face.normal
        return [Flank(at, -face.normal, way), Flank(at, -face.normal, -way)]
    return [flank for flank in own.flanks() if float(flank.normal @ face.normal) < -1 + PARALLEL]


def groove_width(radius: float, gap: float = 0.0) -> float:
    """Return how far from the line where a round surface touches a flat one the groove between them is wide enough, mm."""
    root = min(ROOT, radius / 2) - max(0.0, gap)
    return math.sqrt(max(0.0, 2 * radius * root - root**2))


def _on_widened(face: Face, other: DrawnPart, own: DrawnPart, at: Array, flank: Flank) -> Iterator[TouchingLine]:
    """Yield the stretches of a line along a round surface that lie on a face, past its edge where that is rounded, too."""
    line = TouchingLine(np.stack([at, at + own.part.length * own.axis]), face.normal, own.index, flank.outwards)
    shape = face.whole
    soft = other.radius and not other.part.section.round
    if soft and face.label.startswith("side:"):
        shape = lengthened(face, groove_width(other.radius))
    for stretch in stretches_on(shape, *face.flat(line.ends)):
        for low, high in _before_cuts(own, line, stretch):
            piece = line.piece((low, high))
            if soft and not face.label.startswith("side:"):
                yield from _off_corners(other, piece)
            elif high - low > SHORT:
                yield piece


def _before_cuts(own: DrawnPart, line: TouchingLine, stretch: Interval) -> list[Interval]:
    """Return what a part's own cuts leave of a stretch of a line along it."""
    start, end = own.local(line.ends)
    taken = []
    for cut in own.part.cuts:
        first, last = (float(np.dot(cut.normal, point)) - cut.offset for point in (start, end))
        if first > 0 and last > 0:
            return []
        if first * last < 0:
            place = line.length * first / (first - last)
            taken.append((0.0, place) if first > 0 else (place, line.length))
    return without(stretch, taken)


def _off_corners(other: DrawnPart, line: TouchingLine) -> list[TouchingLine]:
    """Return what of a line across the end of a tube lies between its rounded corners."""
    start, end = other.local(line.ends)
    step = end - start
    taken = []
    for axis in (0, 1):
        half, across = other.flat_half[axis], abs(step[axis])
        if across > ON and abs(start[1 - axis]) > other.flat_half[1 - axis] - ON:
            places = sorted(float(line.length * (side * half - start[axis]) / step[axis]) for side in (-1, 1))
            taken += [(-math.inf, places[0]), (places[1], math.inf)]
    return [line.piece(left) for left in without((0.0, line.length), taken) if left[1] - left[0] > SHORT]


def _round_beside_round(one: DrawnPart, two: DrawnPart) -> Iterator[tuple[bool, TouchingLine | None]]:
    """Yield the lines of the beads on both sides of where two round parts lie along each other."""
    if not (one.part.section.round and two.part.section.round) or float(np.linalg.norm(np.cross(one.axis, two.axis))) > PARALLEL:
        return
    away = two.frame[:3, 3] - one.frame[:3, 3]
    away = away - float(away @ one.axis) * one.axis
    apart, touch = float(np.linalg.norm(away)), one.radius + two.radius
    if not -ROUND_TOUCH * 2 * max(one.radius, two.radius) - TOUCH <= apart - touch <= TOUCH:
        return
    normal = away / apart
    places = sorted(float((point - one.frame[:3, 3]) @ one.axis) for point in _ends_of(two))
    low, high = max(0.0, places[0]), min(one.part.length, places[1])
    if high - low <= SHORT:
        return
    width = groove_width(min(one.radius, two.radius), max(0.0, apart - touch))
    for sign in (1.0, -1.0):
        outwards = sign * np.cross(normal, one.axis)
        at = one.frame[:3, 3] + one.radius * normal + width * outwards
        line = TouchingLine(np.stack([at + low * one.axis, at + high * one.axis]), normal, two.index, outwards)
        left = [piece for stretch in _before_cuts(one, line, (0.0, line.length)) for piece in _before_cuts(two, line, stretch)]
        yield from ((True, line.piece(piece)) for piece in left)


def _ends_of(body: DrawnPart) -> tuple[Array, Array]:
    start: Array = body.frame[:3, 3]
    return start, start + body.part.length * body.axis


def _edges_beside_round(own: DrawnPart, other: DrawnPart) -> Iterator[TouchingLine]:
    """Yield stretches of a part's edges that lie along another's round surface, no farther off than a bead bridges."""
    if not other.radius:
        return
    local = other.local(own.edges)
    straight = np.abs(local[:, 1, :2] - local[:, 0, :2]).max(axis=1, initial=0.0) < ON
    for edge, (start, end) in zip(own.edges[straight], local[straight], strict=True):
        if not other.part.section.round and not other.in_corner(start):
            continue
        off = np.maximum(np.abs(start[:2]) - other.flat_half, 0.0)
        gap = float(np.hypot(*off)) - other.radius
        deep = TOUCH + (ROUND_TOUCH * 2 * other.radius if other.part.section.round else 0.0)
        if not -deep <= gap <= ROOT:
            continue
        toward = off * np.sign(start[:2]) / np.hypot(*off)
        normal = toward[0] * other.frame[:3, 0] + toward[1] * other.frame[:3, 1]
        length, rising = abs(float(end[2] - start[2])), end[2] > start[2]
        at = (-start[2], other.part.length - start[2]) if rising else (start[2] - other.part.length, start[2])
        line = TouchingLine(edge, normal, own.index)
        low, high = max(0.0, float(at[0])), min(length, float(at[1]))
        if high - low > SHORT:
            yield from (line.piece(left) for left in _before_cuts(other, line, (low, high)))


def _each_once(lines: Sequence[TouchingLine]) -> list[TouchingLine]:
    """Return lines parted where others end, so that none runs over another."""
    kept: list[TouchingLine] = []
    for line in sorted(lines, key=lambda line: -line.length):
        stretches: list[Interval] = [(0.0, line.length)]
        for other in kept:
            taken = _overlap(line, other)
            stretches = [piece for stretch in stretches for piece in without(stretch, [taken])] if taken else stretches
        kept += [line.piece(stretch) for stretch in stretches if stretch[1] - stretch[0] > SHORT]
    return kept


def _overlap(line: TouchingLine, other: TouchingLine) -> Interval | None:
    """Return the stretch of a line that another one on the same line covers."""
    away = other.ends - line.ends[0]
    along = away @ line.tangent
    off = away - along[:, None] * line.tangent
    if float(np.abs(off).max()) > 2 * TOUCH:
        return None
    low, high = float(along.min()), float(along.max())
    return (low, high) if low < line.length and high > 0 else None
