"""Which segments come near which boxes along the axes: a torch is a segment with a radius, most hardware is made of boxes.

The distance of a box from a point that walks along a segment is convex; the square of it is a parabola between the places where
the point passes a face's plane. So the nearest place lies between two of those places, where the slope changes its sign.
"""

from __future__ import annotations

import numpy as np

from inventory.shapes import Array
from solver.geometry.hulls import SMALL, Flags

TOGETHER = 8192
"""Pairs looked at together."""
TRIES = 2


def segments_near_boxes(start: Array, end: Array, boxes: Array, gaps: Array) -> Flags:
    """Return of which pairs the segment (from, to: (n, 3)) comes nearer than a gap (n,) to the box (n, 2, 3), mm."""
    near = np.zeros(len(start), dtype=bool)
    for first in range(0, len(start), TOGETHER):
        some = slice(first, first + TOGETHER)
        near[some] = _some_near(start[some], end[some] - start[some], boxes[some, 0], boxes[some, 1], gaps[some] ** 2)
    return near


def _some_near(start: Array, way: Array, low: Array, high: Array, limit: Array) -> Flags:
    """Try a place that is near the nearest one; where that does not settle it, find the nearest."""
    squared = np.maximum((way * way).sum(axis=1), SMALL)
    target = (low + high) / 2
    for _ in range(TRIES):
        place = start + (((target - start) * way).sum(axis=1) / squared).clip(0.0, 1.0)[:, None] * way
        target = np.minimum(np.maximum(place, low), high)
    near: Flags = ((place - target) ** 2).sum(axis=1) < limit
    left = np.flatnonzero(~near)
    start, way, low, high = start[left], way[left], low[left], high[left]
    place = start + _nearest(start, way, low, high)[:, None] * way
    off = place - np.minimum(np.maximum(place, low), high)
    near[left] = (off * off).sum(axis=1) < limit[left]
    return near


def _nearest(start: Array, way: Array, low: Array, high: Array) -> Array:
    """Return the share of their way at which points are nearest to boxes."""
    safe = np.where(np.abs(way) < SMALL, 1.0, way)
    passes = [((side - start) / safe).clip(0.0, 1.0) for side in (low, high)]
    shares = np.sort(np.concatenate([np.zeros((len(way), 1)), *passes, np.ones((len(way), 1))], axis=1), axis=1)
    slope = np.zeros(shares.shape)
    for axis in range(3):
        place = start[:, axis, None] + shares * way[:, axis, None]
        off = place - np.minimum(np.maximum(place, low[:, axis, None]), high[:, axis, None])
        slope += off * way[:, axis, None]
    after = (slope < 0).sum(axis=1)
    rows, before, after = np.arange(len(way)), (after - 1).clip(0), after.clip(max=shares.shape[1] - 1)
    rise = slope[rows, after] - slope[rows, before]
    part = np.where(rise > 0, -slope[rows, before] / np.where(rise > 0, rise, 1.0), 0.0).clip(0.0, 1.0)
    nearest: Array = shares[rows, before] + part * (shares[rows, after] - shares[rows, before])
    return nearest
