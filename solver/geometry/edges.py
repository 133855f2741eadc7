"""Edges of parts, and which stretches of a line lie on a face or within a body, ends exact."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from itertools import pairwise

import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from inventory.shapes import Array, Prism
from solver.geometry.cut_solids import normal_planes
from solver.geometry.faces import Face, hull_of
from solver.geometry.points import inside
from solver.geometry.tolerances import TOUCH

Interval = tuple[float, float]
"""A stretch of a line, from and to, mm from the line's start."""
MERGED = 0.01
"""Places on a line nearer than this are one, mm."""
DIGITS = 6


def edges_of(faces: Sequence[Face]) -> Array:
    """Return the edges (n, 2, 3) of flat faces, each once, whichever way it runs."""
    found = [edge for face in faces for ring in rings_of(face.shape) for edge in _ring_edges(face.lifted(ring))]
    if not found:
        return np.zeros((0, 2, 3))
    edges = np.array(found)
    rounded = np.round(edges, DIGITS) + 0.0
    swapped = [tuple(start) > tuple(end) for start, end in rounded.tolist()]
    rounded[swapped] = rounded[swapped][:, ::-1]
    _, first = np.unique(rounded.reshape(-1, 6), axis=0, return_index=True)
    kept: Array = edges[np.sort(first)]
    return kept


def _ring_edges(ring: Array) -> Iterable[Array]:
    return np.stack([ring, np.roll(ring, -1, axis=0)], axis=1)


def rings_of(shape: BaseGeometry) -> list[Array]:
    """Return the rings (k, 2) of a flat shape, outer and inner, not closed by repetition."""
    rings = [ring for part in shapely.get_parts(shape).tolist() for ring in (part.exterior, *part.interiors)]
    return [np.array(ring.coords)[:-1] for ring in rings]


def lengthened(face: Face, by: float) -> BaseGeometry:
    """Return a rectangular face's shape made longer by so much at both its sides across `b`, mm."""
    points = shapely.get_coordinates(face.shape)
    return hull_of(np.concatenate([points + np.array([0.0, step]) for step in (-by, by)]))


def stretches_on(shape: BaseGeometry, start: Array, end: Array) -> list[Interval]:
    """Return the stretches of a line between points (2,) that lie on a flat shape, parted where they pass its corners."""
    length = float(np.hypot(*(end - start)))
    along = (end - start) / length
    across = np.array([-along[1], along[0]])
    places = [0.0, length]
    for ring in rings_of(shape):
        away = ring - start
        t, s = away @ along, away @ across
        next_t, next_s = np.roll(t, -1), np.roll(s, -1)
        crossed = s * next_s < 0
        share = s[crossed] / (s[crossed] - next_s[crossed])
        places += [*t[np.abs(s) <= TOUCH].tolist(), *(t[crossed] + share * (next_t[crossed] - t[crossed])).tolist()]
    intervals = between(places, length)
    middles = np.array([start + (low + high) / 2 * along for low, high in intervals])
    on = shapely.dwithin(shape, shapely.points(middles), TOUCH)
    return [interval for interval, there in zip(intervals, on.tolist(), strict=True) if there]


def stretches_inside(prism: Prism, start: Array, end: Array) -> list[Interval]:
    """Return the stretches of a line between points (3,) that lie inside a body, mm from its start."""
    length = float(np.linalg.norm(end - start))
    frame = np.array(prism.frame)
    ends = (np.stack([start, end]) - frame[:3, 3]) @ frame[:3, :3]
    planes = [*normal_planes(prism.cuts, np.eye(4)), *((np.array([0.0, 0.0, 1.0]), w) for w in (prism.start, prism.end))]
    places = [0.0, length]
    for normal, offset in planes:
        low, high = ends @ normal - offset
        places += [length * low / (low - high)] if low * high < 0 else []
    for ring in (np.array(ring) for ring in (prism.outline, *prism.cutouts)):
        step = ends[1, :2] - ends[0, :2]
        away = ring - ends[0, :2]
        side = away[:, 0] * step[1] - away[:, 1] * step[0]
        following, next_away = np.roll(side, -1), np.roll(away, -1, axis=0)
        crossed = side * following < 0
        share = (side[crossed] / (side[crossed] - following[crossed]))[:, None]
        met = away[crossed] + share * (next_away[crossed] - away[crossed])
        places += (met @ step / max(float(step @ step), 1e-12) * length).tolist()
    intervals = between(places, length)
    middles = np.array([start + (low + high) / 2 * (end - start) / length for low, high in intervals])
    return [interval for interval, there in zip(intervals, inside(prism, middles).tolist(), strict=True) if there]


def between(places: Iterable[float], length: float) -> list[Interval]:
    """Return the stretches of a line of some length between places on it, those from 0 and to its length among them."""
    kept = [0.0]
    for place in sorted(place for place in places if MERGED < place < length - MERGED):
        if place - kept[-1] > MERGED:
            kept.append(place)
    kept.append(length)
    return list(pairwise(kept))


def without(interval: Interval, taken: Iterable[Interval]) -> list[Interval]:
    """Return what stretches leave of one."""
    left = [interval]
    for low, high in taken:
        left = [piece for a, b in left for piece in ((a, min(b, low)), (max(a, high), b)) if piece[1] - piece[0] > MERGED]
    return left


def lies_on(face: Face, point: Array, off: float) -> bool:
    """Return whether a point (3,), `off` the plane of a face by so much (mm), lies on the face or at its edge."""
    return abs(off) <= TOUCH and bool(shapely.dwithin(face.whole, shapely.points(face.flat(point)), TOUCH))
