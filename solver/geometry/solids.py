"""Prisms as unions of convex pieces."""

from __future__ import annotations

from functools import lru_cache
from itertools import pairwise

import numpy as np
import shapely
from shapely.geometry import Polygon
from shapely.geometry.base import BaseGeometry
from shapely.ops import unary_union

from inventory.cuts import Bounds, PlaneCut
from inventory.shapes import Array, Prism
from solver.geometry.cut_solids import normal_planes, piece_left

FLAT = 1e-9
SHORT = 0.1
"""A stretch of a cut prism is no shorter than this, mm."""


def pieces_of(prism: Prism) -> list[Array]:
    """Return the prism's convex pieces as (k, 3) arrays of points in the parent's frame."""
    frame = np.array(prism.frame)
    if prism.cuts:
        left = _cut_pieces(prism.outline, prism.cutouts, (prism.start, prism.end), prism.cuts)
        return [piece @ frame[:3, :3].T + frame[:3, 3] for piece in left]
    local = _local_pieces(prism.outline, prism.cutouts)
    return [_lifted(ring, prism.start, prism.end, frame) for ring in local]


def _lifted(ring: Array, start: float, end: float, frame: Array) -> Array:
    low = np.column_stack([ring, np.full(len(ring), start)])
    high = np.column_stack([ring, np.full(len(ring), end)])
    return np.concatenate([low, high]) @ frame[:3, :3].T + frame[:3, 3]


Ring = tuple[tuple[float, float], ...]


@lru_cache(maxsize=1024)
def _cut_pieces(
    outline: Ring, cutouts: tuple[Ring, ...], ends: tuple[float, float], cuts: tuple[PlaneCut, ...]
) -> tuple[Array, ...]:
    """Return what the cuts leave of each convex piece, in the prism's own frame.

    The stretch that no cut across the prism reaches is a piece of its own: prisms are quicker to tell apart than other bodies.
    """
    planes, bounds = normal_planes(cuts, np.eye(4)), Bounds.of(*ends, cuts)
    pieces = [
        piece_left(_lifted(ring, *stretch, np.eye(4)), planes)
        for ring in _local_pieces(outline, cutouts)
        for stretch in pairwise(_stations(ring, ends, bounds))
    ]
    return tuple(piece for piece in pieces if len(piece))


def _stations(ring: Array, ends: tuple[float, float], bounds: Bounds) -> list[float]:
    """Return where to part a prism: its ends, and between them where all of it is left and where it is not any more."""
    low = max(float((ring @ np.array(line[:2])).max()) + line[2] for line in bounds.below)
    high = min(float((ring @ np.array(line[:2])).min()) + line[2] for line in bounds.above)
    inner = [w for w in (low, high) if ends[0] + SHORT < w < ends[1] - SHORT]
    return [ends[0], *inner, ends[1]] if low + SHORT < high else list(ends)


@lru_cache(maxsize=4096)
def _local_pieces(outline: Ring, cutouts: tuple[Ring, ...]) -> tuple[Array, ...]:
    polygon = Polygon(outline, cutouts)
    if not cutouts and is_convex(polygon):
        return (np.array(outline, dtype=float),)
    triangles = shapely.constrained_delaunay_triangles(polygon)
    pieces = _merged([piece for piece in triangles.geoms if isinstance(piece, Polygon)])
    return tuple(np.array(piece.exterior.coords[:-1]) for piece in pieces)


def is_convex(polygon: Polygon) -> bool:
    """Return whether a polygon without holes is convex (to a part in 1e9 of its area)."""
    return not polygon.interiors and polygon.convex_hull.area - polygon.area <= FLAT * max(polygon.area, 1.0)


def _merged(triangles: list[Polygon]) -> list[Polygon]:
    """Join neighbouring pieces as long as the union stays convex (greedy, longest shared side first)."""
    pieces: dict[int, Polygon] = dict(enumerate(triangles))
    sides: dict[tuple[tuple[float, ...], tuple[float, ...]], list[int]] = {}
    for index, triangle in pieces.items():
        ring = list(triangle.exterior.coords)
        for one, two in pairwise(ring):
            sides.setdefault((min(one, two), max(one, two)), []).append(index)
    parent = {index: index for index in pieces}

    def root(index: int) -> int:
        while parent[index] != index:
            index = parent[index]
        return index

    shared = [(side, pair) for side, pair in sides.items() if len(pair) == 2]
    shared.sort(key=lambda entry: -np.hypot(entry[0][0][0] - entry[0][1][0], entry[0][0][1] - entry[0][1][1]))
    for _, (left, right) in shared:
        first, second = root(left), root(right)
        if first == second:
            continue
        union: BaseGeometry = unary_union([pieces[first], pieces[second]])
        if not isinstance(union, Polygon) or not is_convex(union):
            continue
        parent[second] = first
        pieces[first] = union
        del pieces[second]
    return list(pieces.values())
