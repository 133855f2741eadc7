"""How far points are from a solid prism, and which lie in it."""

from __future__ import annotations

from collections.abc import Sequence
from functools import lru_cache

import numpy as np
import shapely
from shapely.geometry import Polygon

from inventory.shapes import Array, Point2, Prism
from solver.geometry.cut_solids import normal_planes
from solver.geometry.hulls import Flags, Hulls
from solver.geometry.proximity import distances
from solver.geometry.solids import pieces_of


def distances_to(prism: Prism, points: Array) -> Array:
    """Return how far points (n, 3) in the parent's frame are from a solid prism, mm; 0 inside it. Exact."""
    if prism.cuts:
        return _from_pieces(pieces_of(prism), points)
    frame = np.array(prism.frame)
    local = (points - frame[:3, 3]) @ frame[:3, :3]
    level = shapely.distance(_section(prism.outline, prism.cutouts), shapely.points(local[:, :2]))
    upright = np.maximum(0.0, np.maximum(prism.start - local[:, 2], local[:, 2] - prism.end))
    away: Array = np.hypot(level, upright)
    return away


def _from_pieces(pieces: Sequence[Array], points: Array) -> Array:
    places = Hulls.of(list(points[:, None, :]), range(len(points)))
    bodies = Hulls.of(pieces, range(len(pieces)))
    i, j = (pairs.ravel() for pairs in np.indices((len(places), len(bodies))))
    away: Array = distances(places, i, bodies, j).reshape(len(places), len(bodies)).min(axis=1)
    return away


def inside(prism: Prism, points: Array) -> Flags:
    """Return which points (n, 3) in the parent's frame lie inside a solid prism, not on its skin."""
    frame = np.array(prism.frame)
    local = (points - frame[:3, 3]) @ frame[:3, :3]
    found = (local[:, 2] > prism.start) & (local[:, 2] < prism.end)
    for normal, offset in normal_planes(prism.cuts, np.eye(4)):
        found &= local @ normal < offset
    within: Flags = found & shapely.contains_xy(_section(prism.outline, prism.cutouts), local[:, 0], local[:, 1])
    return within


@lru_cache(maxsize=512)
def _section(outline: tuple[Point2, ...], cutouts: tuple[tuple[Point2, ...], ...]) -> Polygon:
    polygon = Polygon(outline, cutouts)
    shapely.prepare(polygon)
    return polygon
