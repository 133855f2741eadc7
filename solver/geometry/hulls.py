"""Convex point sets by the thousand: how near they come, by a vectorised distance iteration.

Every body is a union of convex pieces, every sweep of a convex piece along a straight line is convex, and a torch is a
segment with a radius: one kernel answers all of them. The iteration follows Gilbert, Johnson and Keerthi, "A fast
procedure for computing the distance between complex objects in three-dimensional space", IEEE J. Robotics and
Automation 4(2), 1988: walk towards the point of the Minkowski difference nearest to the origin.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from inventory.shapes import Array

Index = NDArray[np.intp]
Flags = NDArray[np.bool_]
ROUNDS = 60
SMALL = 1e-12
TOGETHER = 96
CELL = 120.0
"""Boxes are compared by so many together, neighbours by cells of this width, mm."""


@dataclass(frozen=True)
class Hulls:
    """Convex hulls given by their points.

    Parameters
    ----------
    points : (n, 3) array
        All points, hull after hull, mm.
    first, count : (m,) arrays
        Where each hull's points start, and how many there are.
    owner : (m,) array
        What each hull belongs to (an index the caller chose).
    """

    points: Array
    first: Index
    count: Index
    owner: Index

    @staticmethod
    def of(pieces: Sequence[Array], owners: Sequence[int] | Index) -> Hulls:
        """Return hulls from one (k, 3) array of points each."""
        count = np.array([len(piece) for piece in pieces], dtype=np.intp)
        points = np.concatenate(pieces) if len(pieces) else np.zeros((0, 3))
        return Hulls(points, np.cumsum(count) - count, count, np.array(owners, dtype=np.intp))

    @staticmethod
    def copies(hulls: Hulls, at: Array, owners: Index) -> Hulls:
        """Return some hulls at each of several places (n, 3), place after place, all those of a place its owner's."""
        times, many = len(at), len(hulls)
        points = (hulls.points[None, :, :] + at[:, None, :]).reshape(-1, 3)
        count = np.tile(hulls.count, times)
        found = Hulls(points, np.cumsum(count) - count, count, np.repeat(owners, many))
        boxes = (hulls.boxes[None, :, :, :] + at[:, None, None, :]).reshape(-1, 2, 3)
        return found._known(boxes, np.tile(hulls.box_shaped, times))

    def __len__(self) -> int:
        return len(self.count)

    def _known(self, boxes: Array, box_shaped: Flags) -> Hulls:
        """Take bounds and shape as known from where the hulls come from, so that they are not found anew."""
        self.__dict__.update(boxes=boxes, box_shaped=box_shaped)
        return self

    def each(self) -> list[Array]:
        """Return every hull's points."""
        return [self.points[first : first + count] for first, count in zip(self.first, self.count, strict=True)]

    @cached_property
    def boxes(self) -> Array:
        """Axis-aligned bounds, (m, 2, 3): lowest and highest corner of each hull."""
        if not len(self):
            return np.zeros((0, 2, 3))
        low = np.minimum.reduceat(self.points, self.first)
        high = np.maximum.reduceat(self.points, self.first)
        return np.stack([low, high], axis=1)

    @cached_property
    def box_shaped(self) -> Flags:
        """Which hulls are boxes along the axes: eight points, all at corners of their bounds, (m,)."""
        if not len(self):
            return np.zeros(0, dtype=bool)
        eight = np.flatnonzero(self.count == 8)
        points = self.points[self.first[eight][:, None] + np.arange(8)]
        low, high = self.boxes[eight, None, 0], self.boxes[eight, None, 1]
        found = np.zeros(len(self), dtype=bool)
        found[eight] = ((np.abs(points - low) < 1e-9) | (np.abs(points - high) < 1e-9)).all(axis=(1, 2))
        return found

    def shifted(self, offset: Array) -> Hulls:
        """Return the hulls moved by one offset (3,) or one offset a hull (m, 3)."""
        move = np.repeat(offset, self.count, axis=0) if offset.ndim == 2 else offset
        moved = Hulls(self.points + move, self.first, self.count, self.owner)
        return moved._known(self.boxes + (offset[:, None, :] if offset.ndim == 2 else offset), self.box_shaped)

    def take(self, chosen: Index | Flags) -> Hulls:
        """Return only the chosen hulls."""
        chosen = np.flatnonzero(chosen) if chosen.dtype == bool else chosen
        count = self.count[chosen]
        first = np.cumsum(count) - count
        rows = np.repeat(self.first[chosen] - first, count) + np.arange(count.sum())
        return Hulls(self.points[rows], first, count, self.owner[chosen])._known(self.boxes[chosen], self.box_shaped[chosen])

    def play(self, ease: float, share: float) -> Array:
        """Return how much slimmer (m,) a body may be taken that fills a round hole: `ease` (mm) and a share of its width."""
        width = (self.boxes[:, 1, :2] - self.boxes[:, 0, :2]).max(axis=1) if len(self) else np.zeros(0)
        allowed: Array = ease + share * width
        return allowed

    def slimmer(self, by: Array) -> Hulls:
        """Return each hull with its points drawn in level towards its middle, by one distance a hull (m,), mm."""
        middle = np.add.reduceat(self.points, self.first) / self.count[:, None] if len(self) else np.zeros((0, 3))
        away = self.points - np.repeat(middle, self.count, axis=0)
        away[:, 2] = 0.0
        length = np.maximum(np.linalg.norm(away, axis=1), SMALL)
        drawn = self.points - away * np.minimum(1.0, np.repeat(by, self.count) / length)[:, None]
        return Hulls(drawn, self.first, self.count, self.owner)

    def swept(self, move: Array) -> Hulls:
        """Return each hull swept along a straight move (3,), or along one move a hull (m, 3).

        A box along the axes that moves along one of them stays a box.
        """
        if move.ndim == 1 and np.count_nonzero(move) == 1 and self.box_shaped.any():
            boxes, others = np.flatnonzero(self.box_shaped), np.flatnonzero(~self.box_shaped)
            order = np.argsort(np.concatenate([boxes, others]))
            return joined([self.take(boxes)._stretched(move), self.take(others)._swept(move)]).take(order)
        return self._swept(move)

    def _stretched(self, move: Array) -> Hulls:
        """Return boxes along the axes made longer by a move (3,) along one of them."""
        low, high = np.minimum(self.boxes[:, 0], self.boxes[:, 0] + move), np.maximum(self.boxes[:, 1], self.boxes[:, 1] + move)
        corners = np.array([[a, b, c] for a in (0, 1) for b in (0, 1) for c in (0, 1)], dtype=bool)
        points = np.where(corners[None, :, :], high[:, None, :], low[:, None, :]).reshape(-1, 3)
        return Hulls(points, 8 * np.arange(len(self)), np.full(len(self), 8, dtype=np.intp), self.owner)

    def _swept(self, move: Array) -> Hulls:
        """Return each hull's points where they are and where they come to."""
        moves = np.broadcast_to(move, (len(self), 3))
        count = 2 * self.count
        first = np.cumsum(count) - count
        owner_of_point = np.repeat(np.arange(len(self)), self.count)
        place = np.arange(len(self.points)) + self.first_gap(first, owner_of_point)
        points = np.empty((2 * len(self.points), 3))
        points[place] = self.points
        points[place + self.count[owner_of_point]] = self.points + moves[owner_of_point]
        return Hulls(points, first, count, self.owner)

    def first_gap(self, first: Index, owner_of_point: Index) -> Index:
        """Return how far each point moves when its hull starts at `first` instead."""
        gap: Index = first[owner_of_point] - self.first[owner_of_point]
        return gap


def joined(parts: Sequence[Hulls]) -> Hulls:
    """Return several sets of hulls as one, owners kept."""
    if not parts:
        return Hulls.of([], [])
    count = np.concatenate([part.count for part in parts])
    points, owner = np.concatenate([part.points for part in parts]), np.concatenate([part.owner for part in parts])
    found = Hulls(points, np.cumsum(count) - count, count, owner)
    return found._known(np.concatenate([part.boxes for part in parts]), np.concatenate([part.box_shaped for part in parts]))


def box_pairs(a: Array, b: Array, gap: float | Array) -> tuple[Index, Index]:
    """Return the index pairs (i, j), in order, whose boxes come nearer than `gap` (a number, or one a row of `a`).

    Where there are many boxes, neighbours of `a` are compared together, only with what of `b` comes near any of them.
    """
    if not len(a) or not len(b):
        return np.zeros(0, np.intp), np.zeros(0, np.intp)
    reach = np.broadcast_to(np.asarray(gap, float), (len(a),))[:, None]
    low, high = a[:, 0] - reach, a[:, 1] + reach
    if len(a) <= TOGETHER:
        return _pairs_of(low, high, b)
    middle = np.floor((a[:, 0] + a[:, 1]) / (2 * CELL))
    order = np.lexsort((middle[:, 1], middle[:, 0]))
    found = []
    for first in range(0, len(a), TOGETHER):
        some = order[first : first + TOGETHER]
        others = np.flatnonzero(((b[:, 1] > low[some].min(axis=0)) & (b[:, 0] < high[some].max(axis=0))).all(axis=1))
        i, j = _pairs_of(low[some], high[some], b[others])
        found.append((some[i], others[j]))
    rows, columns = (np.concatenate(side) for side in zip(*found, strict=True))
    sorted_pairs = np.lexsort((columns, rows))
    return rows[sorted_pairs], columns[sorted_pairs]


def _pairs_of(low: Array, high: Array, b: Array) -> tuple[Index, Index]:
    """Return the pairs (i, j) whose boxes overlap, every one compared with every other."""
    hit = np.ones((len(low), len(b)), dtype=bool)
    for axis in range(3):
        hit &= low[:, None, axis] < b[None, :, 1, axis]
        hit &= b[None, :, 0, axis] < high[:, None, axis]
    i, j = np.nonzero(hit)
    return i, j


def near(a: Hulls, i: Index, b: Hulls, j: Index, gap: float | Array) -> Flags:
    """Return for each pair (a[i], b[j]) whether the hulls come nearer than `gap` (mm, > 0)."""
    gaps = np.broadcast_to(np.asarray(gap, float), i.shape)
    hit = np.zeros(len(i), dtype=bool)
    boxes = a.box_shaped[i] & b.box_shaped[j]
    one, two = a.boxes[i[boxes]], b.boxes[j[boxes]]
    apart = np.maximum(np.maximum(one[:, 0] - two[:, 1], two[:, 0] - one[:, 1]), 0.0)
    hit[boxes] = np.sqrt(np.einsum("nk,nk->n", apart, apart)) < gaps[boxes]
    rest = ~boxes
    hit[rest] = _solve(a, i[rest], b, j[rest], gaps[rest]) < gaps[rest]
    return hit


def distances(a: Hulls, i: Index, b: Hulls, j: Index) -> Array:
    """Return the distance of each pair (a[i], b[j]), mm; 0 if they overlap."""
    return _solve(a, i, b, j, np.full(i.shape, np.nan))


def touching_owners(a: Hulls, b: Hulls, gap: float) -> set[tuple[int, int]]:
    """Return the owner pairs (of a, of b) that come nearer than `gap`."""
    i, j = box_pairs(a.boxes, b.boxes, gap)
    hit = near(a, i, b, j, gap)
    return set(zip(a.owner[i[hit]].tolist(), b.owner[j[hit]].tolist(), strict=True))


def _solve(a: Hulls, i: Index, b: Hulls, j: Index, gaps: Array) -> Array:
    """Return distances, exact where `gaps` is nan, else only good enough to compare with the gap."""
    result = np.zeros(len(i))
    size_a, size_b = _size_class(a.count[i]), _size_class(b.count[j])
    for key in np.unique(size_a * 4096 + size_b):
        rows = np.flatnonzero(size_a * 4096 + size_b == key)
        va, vb = int(key) // 4096, int(key) % 4096
        for start in range(0, len(rows), 20000):
            some = rows[start : start + 20000]
            pa = a.points[_padded(a, i[some], va)]
            pb = b.points[_padded(b, j[some], vb)]
            result[some] = _iterate(pa, pb, gaps[some])
    return result


def _size_class(count: Index) -> Index:
    """Round larger point counts up to a multiple of eight, so that pairs are treated in few batches."""
    return np.where(count <= 8, np.maximum(count, 2), (count + 7) // 8 * 8)


def _padded(hulls: Hulls, chosen: Index, width: int) -> Index:
    """Return point rows (n, width); short hulls repeat their last point."""
    steps = np.minimum(np.arange(width)[None, :], hulls.count[chosen][:, None] - 1)
    rows: Index = hulls.first[chosen][:, None] + steps
    return rows


def _iterate(pa: Array, pb: Array, gaps: Array) -> Array:
    n = len(pa)
    result = np.zeros(n)
    active = np.arange(n)
    v = pa[:, 0] - pb[:, 0]
    simplex = np.repeat(v[:, None, :], 4, axis=1)
    size = np.ones(n, dtype=np.intp)
    for _ in range(ROUNDS):
        towards = np.argmin(np.einsum("nvk,nk->nv", pa, v), axis=1)
        against = np.argmax(np.einsum("nvk,nk->nv", pb, v), axis=1)
        rows = np.arange(len(v))
        w = pa[rows, towards] - pb[rows, against]
        length2 = np.einsum("nk,nk->n", v, v)
        along = np.einsum("nk,nk->n", v, w)
        length = np.sqrt(length2)
        far = (along >= gaps * length) & (length2 > SMALL)
        close = length < gaps
        settled = length2 - along <= 1e-9 * length2 + SMALL
        done = far | close | settled | (length2 < SMALL)
        if done.any():
            finished = active[done]
            result[finished] = np.where(far[done], np.maximum(gaps[done], length[done]), length[done])
            keep = ~done
            if not keep.any():
                return result
            active, pa, pb, v, w, gaps = active[keep], pa[keep], pb[keep], v[keep], w[keep], gaps[keep]
            simplex, size = simplex[keep], size[keep]
        simplex[np.arange(len(v)), size] = w
        v, simplex, size, inside = _nearest_feature(simplex, size + 1)
        if inside.any():
            result[active[inside]] = 0.0
            keep = ~inside
            if not keep.any():
                return result
            active, pa, pb, v, gaps = active[keep], pa[keep], pb[keep], v[keep], gaps[keep]
            simplex, size = simplex[keep], size[keep]
    result[active] = np.sqrt(np.einsum("nk,nk->n", v, v))
    return result


# Subsets of a simplex that hold its newest point, by simplex size: indices, newest (last) first.
_SUBSETS: dict[int, tuple[tuple[int, ...], ...]] = {
    2: ((1,), (1, 0)),
    3: ((2,), (2, 0), (2, 1), (2, 0, 1)),
    4: ((3,), (3, 0), (3, 1), (3, 2), (3, 0, 1), (3, 0, 2), (3, 1, 2), (3, 0, 1, 2)),
}


def _nearest_feature(simplex: Array, size: Index) -> tuple[Array, Array, Index, Flags]:
    """Return the simplex's point nearest to the origin, the feature that holds it, its size, and whether it is inside."""
    n = len(simplex)
    best_v = np.zeros((n, 3))
    best = np.full(n, np.inf)
    best_simplex = simplex.copy()
    best_size = np.ones(n, dtype=np.intp)
    inside = np.zeros(n, dtype=bool)
    for points in (2, 3, 4):
        rows = np.flatnonzero(size == points)
        if not len(rows):
            continue
        corners = simplex[rows]
        for subset in _SUBSETS[points]:
            chosen = corners[:, list(subset)]
            weights, valid = _barycentric(chosen)
            v = np.einsum("ns,nsk->nk", weights, chosen)
            length2 = np.where(valid, np.einsum("nk,nk->n", v, v), np.inf)
            if len(subset) == 4:
                length2 = np.where(valid, 0.0, np.inf)
            better = length2 < best[rows]
            hit = rows[better]
            best[hit] = length2[better]
            best_v[hit] = v[better]
            best_simplex[hit, : len(subset)] = chosen[better][:, ::-1]
            best_size[hit] = len(subset)
            if len(subset) == 4:
                inside[hit] = True
    return best_v, best_simplex, best_size, inside


def _barycentric(corners: Array) -> tuple[Array, Flags]:
    """Return weights of the point of each subset's affine hull nearest to the origin, and whether it lies inside."""
    n, k = corners.shape[:2]
    if k == 1:
        return np.ones((n, 1)), np.ones(n, dtype=bool)
    origin = corners[:, 0]
    edges = corners[:, 1:] - origin[:, None, :]
    gram = np.einsum("nik,njk->nij", edges, edges)
    right = -np.einsum("nik,nk->ni", edges, origin)
    weights = np.empty((n, k))
    if k == 2:
        det = gram[:, 0, 0]
        solved = np.where(det > SMALL, right[:, 0] / np.where(det > SMALL, det, 1.0), -1.0)[:, None]
        fine = det > SMALL
    elif k == 3:
        det = gram[:, 0, 0] * gram[:, 1, 1] - gram[:, 0, 1] ** 2
        fine = det > 1e-12 * gram[:, 0, 0] * gram[:, 1, 1] + SMALL
        safe = np.where(fine, det, 1.0)
        first = (right[:, 0] * gram[:, 1, 1] - right[:, 1] * gram[:, 0, 1]) / safe
        second = (right[:, 1] * gram[:, 0, 0] - right[:, 0] * gram[:, 0, 1]) / safe
        solved = np.stack([first, second], axis=1)
    else:
        a, b, c = edges[:, 0], edges[:, 1], edges[:, 2]
        bc = _cross(b, c)
        det = np.einsum("nk,nk->n", a, bc)
        scale = np.sqrt(gram[:, 0, 0] * gram[:, 1, 1] * gram[:, 2, 2])
        fine = np.abs(det) > 1e-10 * scale + SMALL
        safe = np.where(fine, det, 1.0)
        minus = -origin
        solved = np.stack(
            [
                np.einsum("nk,nk->n", minus, bc) / safe,
                np.einsum("nk,nk->n", minus, _cross(c, a)) / safe,
                np.einsum("nk,nk->n", minus, _cross(a, b)) / safe,
            ],
            axis=1,
        )
    weights[:, 1:] = solved
    weights[:, 0] = 1.0 - solved.sum(axis=1)
    return weights, fine & (weights >= 0).all(axis=1)


def _cross(a: Array, b: Array) -> Array:
    """Return row-wise cross products of (n, 3) arrays, without numpy's axis juggling."""
    out = np.empty_like(a)
    out[:, 0] = a[:, 1] * b[:, 2] - a[:, 2] * b[:, 1]
    out[:, 1] = a[:, 2] * b[:, 0] - a[:, 0] * b[:, 2]
    out[:, 2] = a[:, 0] * b[:, 1] - a[:, 1] * b[:, 0]
    return out
