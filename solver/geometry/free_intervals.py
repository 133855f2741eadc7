"""Where a body that moves along a straight level line comes too near to fixed ones: one stretch of the line for each pair.

The distance of two convex bodies is a convex function of how far the one has moved, so the places where it is less than a
clearance form one interval. For upright prisms it has a closed form: at a difference in height h their sections must keep
sqrt(c^2 - h^2), and the sections are that near where the line runs through their Minkowski difference with that rounding. Its
outline is a ring of edges; the line enters and leaves where it first and last comes so near to one of them. For other bodies the
ends are found by bisection.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
import shapely

from inventory.shapes import Array
from solver.deadline import look
from solver.geometry.gjk import gaps_between
from solver.geometry.hulls import SAME, SMALL, Flags, Hulls, Index

EXACT = 1e-7
"""Ends that are found by bisection are this near to the true ones, mm."""
TOGETHER = 4_000_000
"""Corners of outlines looked at together."""
GOLDEN = (5**0.5 - 1) / 2


@dataclass(frozen=True)
class Stretches:
    """Stretches (low, high) of a line, in order, that do not overlap; their ends do not belong to them, mm."""

    low: Array
    high: Array

    @staticmethod
    def of(low: Array, high: Array) -> Stretches:
        """Return what some stretches cover together; nan is none."""
        there = low < high
        order = np.argsort(low[there], kind="stable")
        low, high = low[there][order], np.maximum.accumulate(high[there][order])
        fresh = np.ones(len(low), dtype=bool)
        fresh[1:] = low[1:] >= high[:-1]
        last = np.append(np.flatnonzero(fresh)[1:] - 1, len(low) - 1) if len(low) else np.zeros(0, dtype=np.intp)
        return Stretches(low[fresh], high[last])

    def hold(self, places: Array) -> Flags:
        """Return which places (any shape, mm along the line) lie in a stretch."""
        if not len(self.low):
            return np.zeros(places.shape, dtype=bool)
        before = np.searchsorted(self.low, places) - 1
        held: Flags = (before >= 0) & (places < self.high[before])
        return held

    def gaps(self, start: float, stop: float) -> Array:
        """Return what is free between two places, ends included, (n, 2), mm; a single place is a gap, too."""
        low, high = np.append(start, np.maximum(self.high, start)), np.append(np.minimum(self.low, stop), stop)
        free = low <= high
        return np.column_stack([low[free], high[free]])


def too_near(a: Hulls, i: Index, b: Hulls, j: Index, along: Array, clear: float | Array) -> tuple[Array, Array]:
    """Return for each pair from where to where `a[i]` moved along a line is nearer than `clear` to `b[j]`, (n,) each, mm.

    Parameters
    ----------
    along : array
        The line's direction, level and of length 1: (3,), or (n, 3) with one for each pair. `a` is as it stands at 0.
    clear : float or array
        The clearance, mm, > 0; one, or one for each pair.

    Both are nan where the two come nowhere so near.
    """
    lines, gaps = np.broadcast_to(along, (len(i), 3)), np.broadcast_to(np.asarray(clear, float), i.shape)
    low, high = np.full(len(i), np.nan), np.full(len(i), np.nan)
    from_here, to_here = _where_bounds_meet(a.boxes[i], b.boxes[j], lines, gaps)
    meet, upright = from_here < to_here, a.straight[i, 2] & b.straight[j, 2]
    for rows, stretches in ((np.flatnonzero(meet & upright), _of_prisms), (np.flatnonzero(meet & ~upright), _of_any)):
        if len(rows):
            low[rows], high[rows] = stretches(a, i[rows], b, j[rows], lines[rows], gaps[rows])
    return low, high


def _of_prisms(a: Hulls, i: Index, b: Hulls, j: Index, lines: Array, gaps: Array) -> tuple[Array, Array]:
    """Return the stretches of upright prisms."""
    apart = np.maximum(np.maximum(a.boxes[i, 0, 2] - b.boxes[j, 1, 2], b.boxes[j, 0, 2] - a.boxes[i, 1, 2]), 0.0)
    left = np.sqrt(np.maximum(gaps**2 - apart**2, 0.0))
    low, high = np.full(len(i), np.nan), np.full(len(i), np.nan)
    (ring_a, size_a), (ring_b, size_b) = _rings(a, i), _rings(b, j)
    for wide_a, wide_b in np.unique(np.column_stack([size_a, size_b]), axis=0).tolist():
        rows = np.flatnonzero((size_a == wide_a) & (size_b == wide_b) & (left > 0))
        many = max(1, TOGETHER // (wide_a + wide_b) ** 2)
        for first in range(0, len(rows), many):
            look()
            some = rows[first : first + many]
            outline = _outline(ring_b[some, :wide_b], -ring_a[some, :wide_a])
            low[some], high[some] = _through(outline, lines[some, :2], left[some])
    return low, high


def _rings(hulls: Hulls, chosen: Index) -> tuple[Array, Index]:
    """Return the sections seen from above of some hulls, counter-clockwise corners (n, most, 2), and how many each has."""
    own, where = np.unique(chosen, return_inverse=True)
    taken = hulls.take(own)
    rings = shapely.multipoints(taken.points[:, :2], indices=np.repeat(np.arange(len(own)), taken.count))
    ordered = shapely.orient_polygons(shapely.convex_hull(rings))
    corners, of = shapely.get_coordinates(ordered, return_index=True)
    count = np.bincount(of, minlength=len(own))
    place = np.arange(len(of)) - np.repeat(np.cumsum(count) - count, count)
    found = np.zeros((len(own), int(count.max()), 2))
    found[of, place] = corners
    closed = shapely.get_dimensions(ordered) == 2
    return found[where], (count - closed)[where]


@dataclass(frozen=True)
class Outline:
    """Edges of convex outlines: directions and outward normals (n, edges, 2), how far out each lies and from where to where."""

    direction: Array
    normal: Array
    out: Array
    start: Array
    end: Array


def _outline(one: Array, other: Array) -> Outline:
    """Return the outline of the Minkowski sums of polygons (n, corners, 2), counter-clockwise: an edge for each edge of both."""
    edges = np.concatenate([np.roll(ring, -1, axis=1) - ring for ring in (one, other)], axis=1)
    length = np.linalg.norm(edges, axis=2)[:, :, None]
    direction = np.where(length < SAME, [1.0, 0.0], edges / np.maximum(length, SAME))  # a point has its edge along x as well
    normal = np.stack([direction[:, :, 1], -direction[:, :, 0]], axis=2)
    out, start, end = (np.zeros(edges.shape[:2]) for _ in range(3))
    for ring in (one, other):
        far, along = normal @ ring.transpose(0, 2, 1), direction @ ring.transpose(0, 2, 1)
        farthest = far.max(axis=2)
        there = far >= farthest[:, :, None] - SAME
        out += farthest
        start += np.where(there, along, np.inf).min(axis=2)
        end += np.where(there, along, -np.inf).max(axis=2)
    return Outline(direction, normal, out, start, end)


def _through(outline: Outline, lines: Array, radius: Array) -> tuple[Array, Array]:
    """Return from where to where lines (n, 2) through 0 run nearer than radii (n,) to any edge of outlines, nan if nowhere."""
    along, across = (np.einsum("nek,nk->ne", side, lines) for side in (outline.direction, outline.normal))
    wide = radius[:, None]
    lows, highs = [], []
    for end in (outline.start, outline.end):
        middle, beside = end * along + outline.out * across, end * across - outline.out * along
        half = np.sqrt(np.where(np.abs(beside) < wide, wide**2 - beside**2, np.nan))
        lows.append(middle - half)
        highs.append(middle + half)
    near_low, near_high = _between(across, outline.out - wide, outline.out + wide)
    edge_low, edge_high = _between(along, outline.start, outline.end)
    low, high = np.maximum(near_low, edge_low), np.minimum(near_high, edge_high)
    there = low < high
    lows, highs = [*lows, np.where(there, low, np.nan)], [*highs, np.where(there, high, np.nan)]
    return np.fmin.reduce(np.concatenate(lows, axis=1), axis=1), np.fmax.reduce(np.concatenate(highs, axis=1), axis=1)


def _between(slope: Array, least: Array, most: Array) -> tuple[Array, Array]:
    """Return from where to where slope * u lies between two values."""
    level = np.abs(slope) < SMALL
    safe = np.where(level, 1.0, slope)
    one, other = least / safe, most / safe
    always = level & (least < 0) & (most > 0)
    low = np.where(level, np.where(always, -np.inf, np.inf), np.minimum(one, other))
    high = np.where(level, np.where(always, np.inf, -np.inf), np.maximum(one, other))
    return low, high


def _of_any(a: Hulls, i: Index, b: Hulls, j: Index, lines: Array, gaps: Array) -> tuple[Array, Array]:
    """Return the stretches of any convex bodies: a place of the line that is too near, then both ends from there."""
    low, high = _where_bounds_meet(a.boxes[i], b.boxes[j], lines, gaps)
    moving, fixed, pair = a.take(i), b.take(j), np.arange(len(i))

    def apart(some: Index, places: Array, enough: Array) -> Array:
        return gaps_between(moving.take(some).shifted(places[:, None] * lines[some]), pair[: len(some)], fixed, some, enough)

    inner = _a_place(apart, low, high, gaps)
    found = np.flatnonzero(~np.isnan(inner))
    ends = np.full((2, len(i)), np.nan)
    for end, outer in zip(ends, (low, high), strict=True):
        near, far = inner[found], outer[found]
        while len(found) and np.abs(far - near).max() > EXACT:
            middle = (near + far) / 2
            hit = apart(found, middle, gaps[found]) < gaps[found]
            near, far = np.where(hit, middle, near), np.where(hit, far, middle)
        end[found] = (near + far) / 2
    return ends[0], ends[1]


Apart = Callable[[Index, Array, Array], Array]
"""How far apart some pairs are at places of their lines; exact where what is enough to know is nan."""


def _a_place(apart: Apart, low: Array, high: Array, gaps: Array) -> Array:
    """Return a place between `low` and `high` where each pair is too near, nan if there is none, by golden sections.

    A step along the line changes a distance by no more than the step: where too much lacks nothing is looked for.
    """
    found, pair = np.full(len(low), np.nan), np.arange(len(low))
    places = np.stack([high - GOLDEN * (high - low), low + GOLDEN * (high - low)])
    values = np.stack([apart(pair, place, np.full(len(pair), np.nan)) for place in places])
    while len(pair):
        least, best = values.min(axis=0), values.argmin(axis=0)
        hit, width = least < gaps[pair], high - low
        found[pair[hit]] = places[best[hit], np.flatnonzero(hit)]
        kept = ~hit & (least - width < gaps[pair]) & (width > EXACT)
        pair, low, high, places, values, best = pair[kept], low[kept], high[kept], places[:, kept], values[:, kept], best[kept]
        first = best == 0
        low, high = np.where(first, low, places[0]), np.where(first, places[1], high)
        fresh = np.where(first, high - GOLDEN * (high - low), low + GOLDEN * (high - low))
        value = apart(pair, fresh, np.full(len(pair), np.nan))
        places = np.where(first, np.stack([fresh, places[0]]), np.stack([places[1], fresh]))
        values = np.where(first, np.stack([value, values[0]]), np.stack([values[1], value]))
    return found


def _where_bounds_meet(a: Array, b: Array, lines: Array, gaps: Array) -> tuple[Array, Array]:
    """Return from where to where bounds (n, 2, 3) moved along lines overlap others' with a gap round them."""
    low, high = np.full(len(a), -np.inf), np.full(len(a), np.inf)
    for axis in range(3):
        least, most = b[:, 0, axis] - a[:, 1, axis] - gaps, b[:, 1, axis] - a[:, 0, axis] + gaps
        from_here, to_here = _between(lines[:, axis], least, most)
        low, high = np.maximum(low, from_here), np.minimum(high, to_here)
    return low, high
