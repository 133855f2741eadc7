"""Plane arithmetic of the checker: regions bounded by rings, hulls, clipping, insets. Lengths mm."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from inventory.shapes import Array
from solver.checks.arithmetic.vectors import following


def inside(points: Array, starts: Array, ends: Array) -> np.ndarray[tuple[int, ...], np.dtype[np.bool_]]:
    """Return which points (k, 2) lie inside the region whose ring edges run from `starts` to `ends` (m, 2), by parity."""
    x, y = points[:, :1], points[:, 1:]
    x0, y0, x1, y1 = starts[:, 0], starts[:, 1], ends[:, 0], ends[:, 1]
    crosses = (y0 > y) != (y1 > y)
    rise = np.where(y1 == y0, 1.0, y1 - y0)
    left = x < x0 + (y - y0) * ((x1 - x0) / rise)
    parity: np.ndarray[tuple[int, ...], np.dtype[np.bool_]] = np.count_nonzero(crosses & left, axis=1) % 2 == 1
    return parity


def edge_distance(points: Array, starts: Array, ends: Array) -> Array:
    """Return the distance of each point (k, 2) to the nearest edge."""
    edges = ends - starts
    squared = np.maximum((edges * edges).sum(1), 1e-30)
    dx = points[:, :1] - starts[:, 0]
    dy = points[:, 1:] - starts[:, 1]
    along = np.clip((dx * edges[:, 0] + dy * edges[:, 1]) / squared, 0.0, 1.0)
    dx -= along * edges[:, 0]
    dy -= along * edges[:, 1]
    nearest: Array = np.sqrt((dx * dx + dy * dy).min(axis=1))
    return nearest


def region_distance(points: Array, starts: Array, ends: Array) -> Array:
    """Return the distance of each point to the region, 0 inside it."""
    return np.where(inside(points, starts, ends), 0.0, edge_distance(points, starts, ends))


def ring_edges(rings: Sequence[Array]) -> tuple[Array, Array]:
    """Return the start and end points of all edges of all rings."""
    return np.concatenate(rings), np.concatenate([following(ring) for ring in rings])


def area(ring: Array) -> float:
    """Return the signed area of a ring, positive counter-clockwise, mm2."""
    x, y = ring[:, 0], ring[:, 1]
    return float(0.5 * (x @ following(y) - y @ following(x)))


def hull(points: Array) -> Array:
    """Return the convex hull of points (k, 2), counter-clockwise (Andrew's monotone chain); it may have 1 or 2 points."""
    ordered = sorted({(round(float(x), 6), round(float(y), 6)) for x, y in points})
    if len(ordered) < 3:
        return np.array(ordered).reshape(-1, 2)

    def chain(sequence: Sequence[tuple[float, float]]) -> list[tuple[float, float]]:
        kept: list[tuple[float, float]] = []
        for point in sequence:
            while len(kept) > 1 and _turn(kept[-2], kept[-1], point) <= 1e-9:
                kept.pop()
            kept.append(point)
        return kept[:-1]

    return np.array(chain(ordered) + chain(ordered[::-1])).reshape(-1, 2)


def _turn(a: tuple[float, float], b: tuple[float, float], c: tuple[float, float]) -> float:
    return (b[0] - a[0]) * (c[1] - a[1]) - (b[1] - a[1]) * (c[0] - a[0])


def clip(ring: Array, window: Array) -> Array:
    """Return `ring` cut by the convex counter-clockwise `window` (Sutherland and Hodgman); may be empty, areas stay exact."""
    result = ring
    for a, b in zip(window, following(window), strict=True):
        if not len(result):
            break
        normal = np.array([a[1] - b[1], b[0] - a[0]])
        result = half(result, (result - a) @ normal)
    return result


def half(ring: Array, depth: Array) -> Array:
    """Return what of a ring (n, 2) has a depth of at least 0; it is given at the ring's corners (n,) and linear between them."""
    kept: list[Array] = []
    for i in range(len(ring)):
        j = (i + 1) % len(ring)
        if depth[i] >= 0:
            kept.append(ring[i])
        if (depth[i] >= 0) != (depth[j] >= 0):
            kept.append(ring[i] + (ring[j] - ring[i]) * (depth[i] / (depth[i] - depth[j])))
    return np.array(kept).reshape(-1, 2)


def margin(point: Array, outline: Array) -> float:
    """Return how far `point` lies inside a convex counter-clockwise outline, mm; negative outside, 0 at best on a line."""
    if len(outline) < 3:
        starts, ends = (outline, outline) if len(outline) == 1 else (outline[:1], outline[1:])
        return -float(edge_distance(point[None], starts, ends)[0])
    edges = following(outline) - outline
    lengths = np.hypot(edges[:, 0], edges[:, 1])
    away = point - outline
    depth: Array = (edges[:, 0] * away[:, 1] - edges[:, 1] * away[:, 0]) / lengths
    return float(depth.min())


def least_width(points: Array) -> float:
    """Return the least width of a set of points between two parallel lines, mm."""
    outline = hull(points)
    if len(outline) < 3:
        return 0.0
    edges = following(outline) - outline
    normals = np.stack([-edges[:, 1], edges[:, 0]], axis=1) / np.hypot(edges[:, 0], edges[:, 1])[:, None]
    heights = normals @ outline.T
    return float((heights.max(axis=1) - heights.min(axis=1)).min())


def inset(ring: Array, by: float, *, outer: bool) -> Array:
    """Return a ring moved by `by` into the material, corners mitred; meant for distances small against its edges."""
    turned = ring if (area(ring) > 0) == outer else ring[::-1]
    edges = following(turned) - turned
    lengths = np.maximum(np.hypot(edges[:, 0], edges[:, 1]), 1e-12)
    normals = np.stack([-edges[:, 1], edges[:, 0]], axis=1) / lengths[:, None]
    before = np.concatenate([normals[-1:], normals[:-1]])
    scale = np.maximum(1.0 + (normals * before).sum(1), 0.2)
    moved: Array = turned + by * (normals + before) / scale[:, None]
    return moved
