"""The open wedges between two parts at many places at once, a little more strictly than one bead's are judged."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from inventory.shapes import Array, Prism
from solver.geometry.joints import OPEN_DEG, Wedge, air_arcs
from solver.geometry.points import inside

ANGLES = 180
UNSURE = 2.0
"""Directions are looked at so many degrees apart: a wedge so near to the widest that counts as shut may be either."""
UPRIGHT = 1e-6
"""A tangent whose level part is shorter than this is upright."""


@dataclass(frozen=True, slots=True)
class OpenWedges:
    """The wedges that are surely open at a place of a bead, and whether whoever judges it again may find more than one."""

    wedges: tuple[Wedge, ...] = ()
    several: bool = False


def many_wedges(points: Array, tangents: Array, prisms: tuple[Prism, Prism], sizes: Array) -> list[OpenWedges]:
    """Return for each point (n, 3) of beads with tangents (n, 3) the wedges between two parts that are open there.

    As `solver.geometry.joints.wedges` finds them, on the same circles: the smallest on which any is open. `sizes` (n,) are
    the beads', mm.
    """
    first, second = _square_to(tangents)
    step = 2 * math.pi / ANGLES
    angles = (np.arange(ANGLES) + 0.5) * step
    rays = np.cos(angles)[None, :, None] * first[:, None] + np.sin(angles)[None, :, None] * second[:, None]
    found = [OpenWedges() for _ in points]
    left = np.arange(len(points))
    large = np.maximum(2.2, sizes)
    for radii in (np.full(len(points), 1.0), np.full(len(points), 1.6), large, 1.5 * large):
        if not len(left):
            break
        ring = (points[left, None] + radii[left, None, None] * rays[left]).reshape(-1, 3)
        where = (inside(prisms[0], ring).astype(np.intp) + 2 * inside(prisms[1], ring)).reshape(-1, ANGLES)
        unsettled = []
        for row, index in enumerate(left.tolist()):
            wedges = [_wedge(first[index], second[index], arc, step) for arc in air_arcs(where[row])]
            maybe = [wedge for wedge in wedges if wedge.opening > math.radians(OPEN_DEG - UNSURE)]
            surely = tuple(wedge for wedge in maybe if wedge.opening > math.radians(OPEN_DEG + UNSURE))
            found[index] = OpenWedges(surely, len(maybe) > 1)
            if not maybe:
                unsettled.append(index)
        left = np.array(unsettled, dtype=np.intp)
    return found


def _wedge(first: Array, second: Array, arc: tuple[int, int, int], step: float) -> Wedge:
    start, count, before = arc
    middle = (start + count / 2) * step
    return Wedge(math.cos(middle) * first + math.sin(middle) * second, count * step, before)


def _square_to(tangents: Array) -> tuple[Array, Array]:
    x, y, z = tangents.T
    first = np.stack([y, -x, np.zeros(len(x))], axis=1)
    lengths = np.hypot(x, y)
    first[lengths < UPRIGHT] = (0.0, 1.0, 0.0)
    first /= np.where(lengths < UPRIGHT, 1.0, lengths)[:, None]
    a, b, c = first.T
    return first, np.stack([y * c - z * b, z * a - x * c, x * b - y * a], axis=1)
