"""The distance of convex point sets by the thousand, by a vectorised iteration.

It follows Gilbert, Johnson and Keerthi, "A fast procedure for computing the distance between complex objects in
three-dimensional space", IEEE J. Robotics and Automation 4(2), 1988: walk towards the point of the Minkowski difference
nearest to the origin.
"""

from __future__ import annotations

import numpy as np

from inventory.shapes import Array
from solver.deadline import look
from solver.geometry.hulls import SMALL, Flags, Hulls, Index

ROUNDS = 60


def gaps_between(a: Hulls, i: Index, b: Hulls, j: Index, gaps: Array) -> Array:
    """Return distances, exact where `gaps` is nan, else only good enough to compare with the gap."""
    result = np.zeros(len(i))
    size_a, size_b = _size_class(a.count[i]), _size_class(b.count[j])
    for key in np.unique(size_a * 4096 + size_b):
        rows = np.flatnonzero(size_a * 4096 + size_b == key)
        va, vb = int(key) // 4096, int(key) % 4096
        for start in range(0, len(rows), 20000):
            look()
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
