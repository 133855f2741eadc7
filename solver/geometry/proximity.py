"""Which convex bodies come near which: bounds first, then segments past boxes and sections of prisms along one axis, then the
general way.

Every body is a union of convex pieces, every sweep of a convex piece along a straight line is convex, and a torch is a
segment with a radius: one question answers all of them. Most bodies are prisms along some axis of the table, and two prisms
along one axis are as far apart as their sections and their lengths.
"""

from __future__ import annotations

import numpy as np
import shapely
from numpy.typing import NDArray

from inventory.shapes import Array
from solver.deadline import look
from solver.geometry.gjk import gaps_between
from solver.geometry.hulls import SAME, SMALL, Flags, Hulls, Index
from solver.geometry.segments import segments_near_boxes

COMPUTED_WITH = f"shapely {shapely.__version__}, GEOS {shapely.geos_version_string}"
"""The library whose next release may round otherwise."""
TOGETHER = 96
CELL = 120.0
"""Boxes are compared by so many together, neighbours by cells of this width, mm."""
FEW = 48
"""With no more than so many boxes all others are compared at once."""
MANY = 1000
"""Of fewer pairs it is quicker to ask for all sections than to look for boxes within bodies first."""
PREPARED = 8
"""A section that is asked about this often, on average, is worth preparing."""


def box_pairs(a: Array, b: Array, gap: float | Array) -> tuple[Index, Index]:
    """Return the index pairs (i, j), in order, whose boxes come nearer than `gap` (a number, or one a row of `a`).

    Where there are many boxes, neighbours of `a` are compared together, only with what of `b` comes near any of them.
    """
    if not len(a) or not len(b):
        return np.zeros(0, np.intp), np.zeros(0, np.intp)
    look()
    reach = np.broadcast_to(np.asarray(gap, float), (len(a),))[:, None]
    low, high = a[:, 0] - reach, a[:, 1] + reach
    if len(a) <= TOGETHER or len(b) <= FEW:
        return _pairs_of(low, high, b)
    middle = np.floor((a[:, 0] + a[:, 1]) / (2 * CELL))
    order = np.lexsort((middle[:, 1], middle[:, 0]))
    found = []
    for first in range(0, len(a), TOGETHER):
        look()
        some = order[first : first + TOGETHER]
        others = np.flatnonzero(((b[:, 1] > low[some].min(axis=0)) & (b[:, 0] < high[some].max(axis=0))).all(axis=1))
        i, j = _pairs_of(low[some], high[some], b[others])
        found.append((some[i], others[j]))
    rows, columns = (np.concatenate(side) for side in zip(*found, strict=True))
    sorted_pairs = np.lexsort((columns, rows))
    return rows[sorted_pairs], columns[sorted_pairs]


def _pairs_of(low: Array, high: Array, b: Array) -> tuple[Index, Index]:
    """Return the pairs (i, j) whose boxes overlap, every one compared with every other."""
    hit = np.ones((len(b), len(low)), dtype=bool)
    for axis in range(3):
        hit &= np.ascontiguousarray(low[:, axis]) < b[:, 1, axis, None]
        hit &= b[:, 0, axis, None] < np.ascontiguousarray(high[:, axis])
    i, j = np.nonzero(hit.T)
    return i, j


def near(a: Hulls, i: Index, b: Hulls, j: Index, gap: float | Array) -> Flags:
    """Return for each pair (a[i], b[j]) whether the hulls come nearer than `gap` (mm, > 0)."""
    look()
    gaps = np.broadcast_to(np.asarray(gap, float), i.shape)
    hit = np.zeros(len(i), dtype=bool)
    within = _apart(a.boxes[i], b.boxes[j]) < gaps
    boxes = a.box_shaped[i] & b.box_shaped[j]
    hit[boxes] = within[boxes]
    rest = _by_segments(a, i, b, j, gaps, hit, np.flatnonzero(within & ~boxes))
    rest = _by_segments(b, j, a, i, gaps, hit, rest)
    rest = _by_cores(a, i, b, j, gaps, hit, rest)
    rest = _by_cores(b, j, a, i, gaps, hit, rest)
    for axis in range(3):
        along = a.straight[i[rest], axis] & b.straight[j[rest], axis]
        both, rest = rest[along], rest[~along]
        hit[both] = _sections_near(a, i[both], b, j[both], gaps[both], axis)
    hit[rest] = gaps_between(a, i[rest], b, j[rest], gaps[rest]) < gaps[rest]
    return hit


def _apart(one: Array, other: Array) -> Array:
    """Return how far apart the boxes (n, 2, 3) of each pair are, mm."""
    squared = np.zeros(len(one))
    for axis in range(3):
        (low, high), (other_low, other_high) = one[:, :, axis].T, other[:, :, axis].T
        squared += np.maximum(np.maximum(low - other_high, other_low - high), 0.0) ** 2
    return np.sqrt(squared)


def _by_segments(a: Hulls, i: Index, b: Hulls, j: Index, gaps: Array, hit: Flags, rows: Index) -> Index:
    """Settle in `hit` what segments are near to, where boxes tell; return the rows left.

    Bounds tell all of a box. Another body is too far if its bounds are, and near if a line within it is.
    """
    some = rows[a.count[i[rows]] == 2]
    if not len(some):
        return rows
    start, end = (a.points[a.first[i[some]] + k] for k in (0, 1))
    near_bounds = segments_near_boxes(start, end, b.boxes[j[some]], gaps[some])
    boxes = b.box_shaped[j[some]]
    hit[some[boxes]] = near_bounds[boxes]
    others = np.flatnonzero(near_bounds & ~boxes)
    near_core = segments_near_boxes(start[others], end[others], boxes_within(b, j[some[others]]), gaps[some[others]])
    hit[some[others[near_core]]] = True
    return np.setdiff1d(rows, np.setdiff1d(some, some[others[~near_core]], assume_unique=True), assume_unique=True)


def _by_cores(a: Hulls, i: Index, b: Hulls, j: Index, gaps: Array, hit: Flags, rows: Index) -> Index:
    """Settle in `hit` what boxes are near to because a box within it is; return the rows left."""
    some = rows[a.box_shaped[i[rows]]]
    if len(some) < MANY:
        return rows
    cores = boxes_within(b, j[some])
    close = _apart(a.boxes[i[some]], cores) < gaps[some]
    hit[some[close]] = True
    return np.setdiff1d(rows, some[close], assume_unique=True)


def boxes_within(hulls: Hulls, chosen: Index) -> Array:
    """Return a box (n, 2, 3) within each hull.

    Of a prism along an axis it is the line along it through its middle; if there are few, the widest box of its bounds' shape.
    """
    own, where = np.unique(chosen, return_inverse=True)
    taken = hulls.take(own)
    middle = np.add.reduceat(taken.points, taken.first) / taken.count[:, None] if len(own) else np.zeros((0, 3))
    first = taken.straight & (np.cumsum(taken.straight, axis=1) == 1)
    cores: Array = np.where(first[:, None, :], taken.boxes, middle[:, None, :])
    for axis in np.flatnonzero(first.any(axis=0)).tolist() if len(own) * PREPARED <= len(chosen) else ():
        rows = np.flatnonzero(first[:, axis])
        wide, inner = shrunk(taken.take(rows), axis)
        cores[rows[wide]] = inner[wide]
    return cores[where]


def shrunk(hulls: Hulls, axis: int) -> tuple[Flags, Array]:
    """Return of prisms along an axis their bounds shrunk across it until they lie within, and of which there is anything left."""
    across = [k for k in range(3) if k != axis]
    middle, half = (hulls.boxes[:, 1] + hulls.boxes[:, 0]) / 2, (hulls.boxes[:, 1] - hulls.boxes[:, 0]) / 2
    sections = _sections(hulls, np.arange(len(hulls)), axis)
    share = np.ones(len(hulls))
    for signs in ([1.0, 1.0], [1.0, -1.0]):
        way = half[:, across] * signs
        ends = np.stack([middle[:, across] - way, middle[:, across] + way], axis=1)
        low, _, high, _ = shapely.bounds(shapely.intersection(shapely.linestrings(ends), sections)).T
        x = middle[:, across[0]]
        room = np.minimum(high - x, x - low) / np.maximum(half[:, across[0]], SMALL)
        share = np.fmin(share, np.where(np.isnan(room), -1.0, room))
    shrunk = np.where(np.arange(3) == axis, 1.0, (share - SAME)[:, None]) * half
    return share > SAME, np.stack([middle - shrunk, middle + shrunk], axis=1)


def _sections_near(a: Hulls, i: Index, b: Hulls, j: Index, gaps: Array, axis: int) -> Flags:
    """Return for each pair of prisms along one axis whether they come nearer than a gap, by their sections."""
    if not len(i):
        return np.zeros(0, dtype=bool)
    one, two = a.boxes[i, :, axis], b.boxes[j, :, axis]
    apart = np.maximum(np.maximum(one[:, 0] - two[:, 1], two[:, 0] - one[:, 1]), 0.0)
    left = np.sqrt(np.maximum(gaps**2 - apart**2, 0.0))
    hit: Flags = (apart < gaps) & shapely.dwithin(_sections(b, j, axis), _sections(a, i, axis), left)
    return hit


def _sections(hulls: Hulls, chosen: Index, axis: int) -> NDArray[np.object_]:
    """Return the sections across an axis of the chosen hulls, prepared if they are few."""
    look()
    own, where = np.unique(chosen, return_inverse=True)
    across = [k for k in range(3) if k != axis]
    found = np.empty(len(own), dtype=object)
    boxes = hulls.box_shaped[own]
    low, high = hulls.boxes[own[boxes]][:, :, across].transpose(1, 2, 0)
    found[boxes] = shapely.box(*low, *high)
    others = hulls.take(own[~boxes])
    rings = shapely.multipoints(others.points[:, across], indices=np.repeat(np.arange(len(others)), others.count))
    found[~boxes] = shapely.convex_hull(rings)
    if len(own) * PREPARED <= len(chosen):
        shapely.prepare(found)
    sections: NDArray[np.object_] = found[where]
    return sections


def distances(a: Hulls, i: Index, b: Hulls, j: Index) -> Array:
    """Return the distance of each pair (a[i], b[j]), mm; 0 if they overlap."""
    return gaps_between(a, i, b, j, np.full(i.shape, np.nan))
