"""Straight beads that follow on each other joined to one: round a tube, along an arc of a plate."""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np

from inventory.shapes import Array
from solver.drafting.touching.beads import StraightBead

SMOOTH = math.cos(math.radians(20.0))
"""A bead runs on where the path turns by less than this, cosine."""
ALIKE = math.cos(math.radians(30.0))
"""A bead runs on where its wedge turns by less than this, cosine."""
ONE_SIDE = 0.5
"""Where a weld must name its side, all of its wedges look within 60 degrees of the first one."""
MEETS = 0.05
"""Ends this near are one, mm: so short a stretch between two beads, where lines are parted, is none of its own."""
OFF_ROUND = 1.234e-4
"""Added before points are rounded to sort them, mm: those that somebody draws are not where rounding could go either way."""
STRAIGHT = 1e-3
"""A path that turns by no more than this (sine) does not turn."""


def runs_of(beads: Sequence[StraightBead]) -> list[tuple[list[StraightBead], Array]]:
    """Return beads joined where one runs on in the other, each run with its path (k, 3).

    A path starts at its end that is farther left (then nearer, then lower), a closed one at its point that is, and ends there.
    """
    ends = np.array([bead.line.ends for bead in beads]).reshape(-1, 2, 3)
    free = np.ones(len(beads), dtype=bool)
    found = []
    for index, first in enumerate(beads):
        if not free[index]:
            continue
        free[index] = False
        run, path = [first], [first.line.ends[0], first.line.ends[1]]
        for _ in ("forwards", "backwards"):
            last = first
            while not (len(path) > 2 and _same(path[0], path[-1])):
                there = np.flatnonzero(free & (np.abs(ends - path[-1]).max(axis=2) < MEETS).any(axis=1)).tolist()
                following = next((k for k in there if _runs_on(first, last, beads[k], path)), None)
                if following is None:
                    break
                free[following] = False
                last = beads[following]
                path.append(_other_end(last, path[-1]))
                run.append(last)
            path.reverse()
        found.append((run, _from_left(_straightened(path))))
    return found


def _same(one: Array, two: Array) -> bool:
    return float(np.abs(one - two).max()) < MEETS


def _other_end(bead: StraightBead, point: Array) -> Array:
    start, end = bead.line.ends
    other: Array = end if np.linalg.norm(start - point) <= np.linalg.norm(end - point) else start
    return other


def _runs_on(first: StraightBead, last: StraightBead, bead: StraightBead, path: Sequence[Array]) -> bool:
    """Return whether a bead that meets the end of a path runs on there; the path's bead there is `last`."""
    if bead.kind != first.kind or bead.several != first.several:
        return False
    step, onwards = path[-1] - path[-2], _other_end(bead, path[-1]) - path[-1]
    turn = float(step @ onwards) / (float(np.linalg.norm(step)) * bead.line.length)
    alike = float(bead.wedge.bisector @ last.wedge.bisector) > ALIKE
    one_side = not first.several or float(bead.wedge.bisector @ first.wedge.bisector) > ONE_SIDE
    return turn > SMOOTH and alike and one_side


def _straightened(path: Sequence[Array]) -> Array:
    """Return a path without the points at which it does not turn."""
    points = np.array(path)
    closed = _same(points[0], points[-1])
    if closed:
        points[-1] = points[0]
    steps = np.diff(points, axis=0)
    headings = steps / np.linalg.norm(steps, axis=1)[:, None]
    turns = np.linalg.norm(np.cross(headings[:-1], headings[1:]), axis=1) > STRAIGHT
    kept: Array = points[np.concatenate([[True], turns, [True]])]
    return kept


def _from_left(path: Array) -> Array:
    if _same(path[0], path[-1]):
        ring = path[:-1]
        ring = np.roll(ring, -min(range(len(ring)), key=lambda k: in_order(ring[k])), axis=0)
        ring = ring if in_order(ring[1]) <= in_order(ring[-1]) else np.concatenate([ring[:1], ring[:0:-1]])
        return np.concatenate([ring, ring[:1]])
    step = np.round(path[-1] - path[0], 6)
    backwards = next((value < 0 for value in step.tolist() if value), False)
    return path[::-1] if backwards else path


def in_order(point: Array) -> tuple[float, ...]:
    """Return what sorts points from left to right, then away, then up, whatever rounding has left behind in them."""
    return tuple(np.round(point + OFF_ROUND, 3).tolist())


def distances_to_path(points: Array, path: Array) -> Array:
    """Return how far points (n, 3) are from a polyline (k, 3), mm."""
    start, way = path[:-1], np.diff(path, axis=0)
    away = points[:, None] - start
    share = ((away * way).sum(axis=2) / (way * way).sum(axis=1)).clip(0.0, 1.0)
    off: Array = np.linalg.norm(away - share[:, :, None] * way, axis=2).min(axis=1)
    return off
