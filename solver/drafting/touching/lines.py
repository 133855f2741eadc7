"""The lines along which two parts touch: edges on faces, edges beside round surfaces, the grooves beside round surfaces."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from inventory.shapes import Array
from solver.drafting.touching.parts_in_place import PartInPlace
from solver.drafting.touching.round_corners import ON, ROOT
from solver.geometry.edges import Interval, without
from solver.geometry.hulls import Flags
from solver.geometry.tolerances import ROUND_TOUCH, TOUCH

SHORT = 0.05
"""A stretch shorter than this is an edge only met at a point, mm."""


@dataclass(frozen=True)
class TouchingLine:
    """A straight stretch that lies on both of two parts.

    `ends` are its points (2, 3), `normal` that of the surface it lies on, away from that surface's part. `outwards` is set in the
    groove beside a round surface: away from where the two touch.
    """

    ends: Array
    normal: Array
    outwards: Array | None = None

    @cached_property
    def length(self) -> float:
        """Its length, mm."""
        return math.dist(*self.ends.tolist())

    @cached_property
    def tangent(self) -> Array:
        """Its direction, unit."""
        tangent: Array = (self.ends[1] - self.ends[0]) / self.length
        return tangent

    @cached_property
    def middle(self) -> Array:
        """Its middle."""
        middle: Array = (self.ends[0] + self.ends[1]) / 2
        return middle

    def piece(self, interval: Interval) -> TouchingLine:
        """Return a stretch of it, by mm from its start."""
        low, high = interval
        if low == 0.0 and high == self.length:
            return self
        return TouchingLine(self.ends[0] + np.array([[low], [high]]) * self.tangent, self.normal, self.outwards)

    def pieces(self, intervals: Sequence[Interval]) -> list[TouchingLine]:
        """Return stretches of it, those left out that are too short to be any."""
        return [self.piece(interval) for interval in intervals if interval[1] - interval[0] > SHORT]


def edges_on_faces(own: PartInPlace, other: PartInPlace) -> Iterator[TouchingLine]:
    """Yield stretches of a part's edges that lie on another's flat faces."""
    low, high = other.box[0] - TOUCH, other.box[1] + TOUCH
    edges = own.edges
    edges = edges[((edges.max(axis=1) >= low) & (edges.min(axis=1) <= high)).all(axis=1)]
    normals, heights = other.planes
    on = (np.abs(edges @ normals.T - heights) <= TOUCH).all(axis=1)
    for axis in range(3):
        on &= edges[:, :, axis].min(axis=1)[:, None] <= other.face_boxes[:, 1, axis] + TOUCH
        on &= edges[:, :, axis].max(axis=1)[:, None] >= other.face_boxes[:, 0, axis] - TOUCH
    for edge, number in zip(*np.nonzero(on), strict=True):
        face, bounds = other.faces[number], other.shape.bounds[number]
        start, end = face.flat(edges[edge])
        yield from TouchingLine(edges[edge], face.normal).pieces(bounds.stretches(start, end))


def edges_beside_round(own: PartInPlace, other: PartInPlace) -> Iterator[TouchingLine]:
    """Yield stretches of a part's edges that run along another's round surface, no farther off than a bead bridges.

    The edge of a hollow is none of them: the wall beside it is nearer.
    """
    radius, half = other.shape.radius, other.shape.flat_half
    if not radius:
        return
    edges = own.edges[~own.shape.inner]
    local = other.local(edges)
    off = np.maximum(np.abs(local[:, 0, :2]) - half, 0.0)
    beside = (np.abs(local[:, 1, :2] - local[:, 0, :2]) < ON).all(axis=1) & _within_reach(np.hypot(*off.T), other)
    beside &= other.round | (off > ON).all(axis=1)
    for edge in np.flatnonzero(beside).tolist():
        start, end = local[edge]
        toward = off[edge] * np.sign(start[:2]) / np.hypot(*off[edge])
        line = TouchingLine(edges[edge], toward @ other.frame[:3, :2].T)
        rise = 1.0 if end[2] > start[2] else -1.0
        at = sorted(float(rise * (w - start[2])) for w in (0.0, other.part.length))
        low, high = max(0.0, at[0]), min(line.length, at[1])
        if high - low > SHORT:
            yield from line.pieces(before_cuts(other, line, (low, high)))


def edges_around_round(own: PartInPlace, other: PartInPlace) -> Iterator[TouchingLine]:
    """Yield a part's edges that lie around another that is round, as those of a hole through which it goes."""
    if not other.round:
        return
    local = other.local(own.edges)
    places = np.concatenate([local, local.mean(axis=1, keepdims=True)], axis=1)
    around = _within_reach(np.hypot(places[..., 0], places[..., 1]), other).all(axis=1)
    around &= (np.abs(local[:, 1, 2] - local[:, 0, 2]) < ON) & (
        (local[..., 2] >= -ON) & (local[..., 2] <= other.part.length + ON)
    ).all(axis=1)
    for edge in np.flatnonzero(around).tolist():
        toward = places[edge, 2, :2] / np.hypot(*places[edge, 2, :2])
        line = TouchingLine(own.edges[edge], toward @ other.frame[:3, :2].T)
        yield from line.pieces(before_cuts(other, line, (0.0, line.length)))


def _within_reach(distances: Array, other: PartInPlace) -> Flags:
    """Return which distances from the middle of a round surface are on it, or so little off that a bead bridges it."""
    gaps = distances - other.shape.radius
    deep = TOUCH + (ROUND_TOUCH * 2 * other.shape.radius if other.round else 0.0)
    return np.asarray((gaps >= -deep) & (gaps <= ROOT))


def before_cuts(own: PartInPlace, line: TouchingLine, stretch: Interval) -> list[Interval]:
    """Return what a part's own cuts leave of a stretch of a line along it."""
    if not own.part.cuts:
        return [stretch]
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


def each_once(lines: Sequence[TouchingLine]) -> list[TouchingLine]:
    """Return lines parted where others end, so that none runs over another, the longest first."""
    lines = sorted(lines, key=lambda line: -line.length)
    if len(lines) < 2:
        return list(lines)
    ends = np.array([line.ends for line in lines])
    found = [lines[0]]
    for index, line in enumerate(lines[1:], 1):
        away = ends[:index] - line.ends[0]
        along = away @ line.tangent
        off = np.abs(away - along[..., None] * line.tangent).max(axis=(1, 2))
        low, high = along.min(axis=1), along.max(axis=1)
        covers = np.flatnonzero((off <= 2 * TOUCH) & (low < line.length) & (high > 0)).tolist()
        taken = [(float(low[other]), float(high[other])) for other in covers]
        found += line.pieces(without((0.0, line.length), taken)) if taken else [line]
    return found
