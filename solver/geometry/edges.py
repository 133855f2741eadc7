"""Edges of parts, and which stretches of a line lie on a face or within a body, ends exact."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from functools import cached_property
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
LENGTHWISE = 1e-12
"""A line whose square seen along a body is shorter than this runs along it, mm2: it passes no side."""


@dataclass(frozen=True)
class Boundary:
    """A flat shape with the sides of its rings, outer and inner: from `starts` (n, 2) to `ends` (n, 2)."""

    shape: BaseGeometry
    starts: Array
    ends: Array

    @staticmethod
    def of(shape: BaseGeometry) -> Boundary:
        """Return a polygon, or several, with the sides of their rings."""
        rings = [np.array(ring.coords) for part in shapely.get_parts(shape).tolist() for ring in (part.exterior, *part.interiors)]
        starts, ends = (np.concatenate([ring[side] for ring in rings]) for side in (slice(None, -1), slice(1, None)))
        return Boundary(shape, starts, ends)

    @cached_property
    def corners(self) -> Array:
        """Its lowest and its highest corner, (2, 2)."""
        return np.array([self.starts.min(axis=0), self.starts.max(axis=0)])

    def holds(self, point: Array) -> bool:
        """Return whether a point (2,) lies on the shape or at its edge."""
        return bool(shapely.dwithin(self.shape, shapely.points(point), TOUCH))

    def stretches(self, start: Array, end: Array) -> list[Interval]:
        """Return the stretches of a line between points (2,) that lie on the shape, parted where they pass its corners."""
        length = math.dist(start, end)
        along = (end - start) / length
        turned = np.array([[along[0], -along[1]], [along[1], along[0]]])
        (t, s), (next_t, next_s) = ((self.starts - start) @ turned).T, ((self.ends - start) @ turned).T
        crossed = s * next_s < 0
        share = s[crossed] / (s[crossed] - next_s[crossed])
        places = [*t[np.abs(s) <= TOUCH].tolist(), *(t[crossed] + share * (next_t[crossed] - t[crossed])).tolist()]
        intervals = between(places, length)
        middles = start + np.array([(low + high) / 2 for low, high in intervals])[:, None] * along
        on = np.asarray(shapely.dwithin(self.shape, shapely.points(middles), TOUCH))
        return [interval for interval, there in zip(intervals, on.tolist(), strict=True) if there]


def edges_of(faces: Sequence[Face]) -> Array:
    """Return the edges (n, 2, 3) of flat faces, each once, whichever way it runs."""
    sides = [(face, Boundary.of(face.shape)) for face in faces]
    found = [np.stack([face.lifted(side.starts), face.lifted(side.ends)], axis=1) for face, side in sides]
    edges = np.concatenate([np.zeros((0, 2, 3)), *found])
    rounded = np.round(edges, DIGITS) + 0.0
    swapped = [tuple(start) > tuple(end) for start, end in rounded.tolist()]
    rounded[swapped] = rounded[swapped][:, ::-1]
    _, first = np.unique(rounded.reshape(-1, 6), axis=0, return_index=True)
    kept: Array = edges[np.sort(first)]
    return kept


def lengthened(face: Face, by: float) -> Boundary:
    """Return a flat side made longer by so much at both its sides across `b`, mm."""
    points = shapely.get_coordinates(face.shape)
    return Boundary.of(hull_of(np.concatenate([points + np.array([0.0, step]) for step in (-by, by)])))


def stretches_inside(prism: Prism, start: Array, end: Array) -> list[Interval]:
    """Return the stretches of a line between points (3,) that lie inside a body, mm from its start."""
    length = float(np.linalg.norm(end - start))
    frame = np.array(prism.frame)
    ends = (np.stack([start, end]) - frame[:3, 3]) @ frame[:3, :3]
    planes = [*normal_planes(prism.cuts, np.eye(4)), *((np.array([0.0, 0.0, 1.0]), w) for w in (prism.start, prism.end))]
    places: list[float] = []
    for normal, offset in planes:
        low, high = ends @ normal - offset
        places += [length * low / (low - high)] if low * high < 0 else []
    step = ends[1, :2] - ends[0, :2]
    for ring in (prism.outline, *prism.cutouts):
        away = np.array([*ring, ring[0]]) - ends[0, :2]
        side = away[:, 0] * step[1] - away[:, 1] * step[0]
        crossed = np.flatnonzero(side[:-1] * side[1:] < 0)
        share = (side[crossed] / (side[crossed] - side[crossed + 1]))[:, None]
        met = away[crossed] + share * (away[crossed + 1] - away[crossed])
        places += (met @ step / max(float(step @ step), LENGTHWISE) * length).tolist()
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
