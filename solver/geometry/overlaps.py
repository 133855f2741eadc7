"""Which bodies overlap, by eroding one and looking whether what is left still meets the other."""

from __future__ import annotations

from collections.abc import Sequence
from functools import lru_cache

import numpy as np
import shapely
from shapely.geometry import Polygon

from inventory.shapes import Array, Point3, Prism
from solver.geometry.cut_solids import normal_planes, piece_left
from solver.geometry.hulls import Hulls
from solver.geometry.proximity import box_pairs, near
from solver.geometry.solids import pieces_of

TOUCHING = 1e-6
"""PartWeights that come no nearer than this once eroded do not meet, mm."""


def close_pairs(prisms: Sequence[Prism], allowed: Array) -> list[tuple[int, int]]:
    """Return the index pairs (earlier, later) whose bounding boxes reach more than `allowed` (n, n) mm into each other.

    The boxes are the prisms' own, along u, v and w; they are told apart along the 15 axes of two boxes (Gottschalk, Lin
    and Manocha, "OBBTree", SIGGRAPH 1996), and hold what cuts take away, too. Pairs left out are apart for certain.
    """
    if len(prisms) < 2:
        return []
    frames = np.array([prism.frame for prism in prisms])
    rings = [np.array(prism.outline) for prism in prisms]
    low = np.array([[*ring.min(axis=0), prism.start] for ring, prism in zip(rings, prisms, strict=True)])
    high = np.array([[*ring.max(axis=0), prism.end] for ring, prism in zip(rings, prisms, strict=True)])
    axes = frames[:, :3, :3].transpose(0, 2, 1)
    centres = frames[:, :3, 3] + np.einsum("nkx,nk->nx", axes, (low + high) / 2)
    half = (high - low) / 2
    later, earlier = np.tril_indices(len(prisms), -1)
    one, two = axes[later], axes[earlier]
    crossed = np.cross(one[:, :, None, :], two[:, None, :, :]).reshape(-1, 9, 3)
    lengths = np.linalg.norm(crossed, axis=2, keepdims=True)
    tried = np.concatenate([one, two, crossed / np.maximum(lengths, 1e-9)], axis=1)
    told = np.concatenate([np.ones((len(later), 6), dtype=bool), lengths[:, :, 0] > 1e-6], axis=1)
    spread = np.abs(np.einsum("pax,pkx->pak", tried, one)) @ half[later][:, :, None]
    spread = spread + np.abs(np.einsum("pax,pkx->pak", tried, two)) @ half[earlier][:, :, None]
    distance = np.abs(np.einsum("pax,px->pa", tried, centres[later] - centres[earlier]))
    reach = spread[:, :, 0] - distance
    close = (np.where(told, reach, np.inf) > allowed[later, earlier][:, None]).all(axis=1)
    return sorted(zip(earlier[close].tolist(), later[close].tolist(), strict=True), key=lambda pair: pair[::-1])


def common_point(a: Prism, b: Prism, allowed: float) -> Point3 | None:
    """Return a point where one body reaches deeper than `allowed` (mm) below the other's surface, None if neither does.

    Exact for prisms, cut or not: one is eroded by `allowed`, its convex pieces are tried against the other's, and the other way
    round, so that a body thinner than twice the allowance is caught by its partner. The point is rough.
    """
    found = _reached(a, b, allowed)
    return _reached(b, a, allowed) if found is None else found


def _reached(a: Prism, b: Prism, deeper_than: float) -> Point3 | None:
    core, body = _eroded(a, deeper_than + TOUCHING), _body(b)
    i, j = box_pairs(core.boxes, body.boxes, TOUCHING)
    if not len(i):
        return None
    hits = np.flatnonzero(near(core, i, body, j, TOUCHING))
    if not len(hits):
        return None
    one, two = core.boxes[i[hits[0]]], body.boxes[j[hits[0]]]
    middle = (np.maximum(one[0], two[0]) + np.minimum(one[1], two[1])) / 2
    return (float(middle[0]), float(middle[1]), float(middle[2]))


@lru_cache(maxsize=512)
def _body(prism: Prism) -> Hulls:
    pieces = pieces_of(prism)
    return Hulls.of(pieces, range(len(pieces)))


@lru_cache(maxsize=512)
def _eroded(prism: Prism, by: float) -> Hulls:
    """Return the points of a body at least this deep below its surface, as convex pieces."""
    start, end, frame = prism.start + by, prism.end - by, np.array(prism.frame)
    if end <= start:
        return Hulls.of([], [])
    section = Polygon(prism.outline, prism.cutouts).buffer(-by, join_style="mitre")
    planes = [(normal, offset - by) for normal, offset in normal_planes(prism.cuts, np.eye(4))]
    pieces: list[Array] = []
    for triangle in shapely.constrained_delaunay_triangles(section).geoms:
        corners = shapely.get_coordinates(triangle)[:-1]
        ends = [np.column_stack([corners, np.full(len(corners), w)]) for w in (start, end)]
        piece = piece_left(np.concatenate(ends), planes)
        if len(piece):
            pieces.append(piece @ frame[:3, :3].T + frame[:3, 3])
    return Hulls.of(pieces, range(len(pieces)))
