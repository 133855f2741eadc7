"""Prisms seen from above: the outline a solid shows in plan, and how high it reaches.

The solver's geometry is imported where a solid has cut ends: few have.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from inventory.shapes import Array, Point2, Prism

_LEVEL = 1e-9
_TOUCH = 0.1


@dataclass(frozen=True, slots=True)
class Silhouette:
    """A solid seen from above.

    Parameters
    ----------
    rings : tuple of rings
        The outline in plan, mm, then its cut-outs; drawn with the even-odd rule.
    low, high : float
        Least and greatest z of the solid, mm.
    """

    rings: tuple[tuple[Point2, ...], ...]
    low: float
    high: float

    def covers(self, x: float, y: float) -> bool:
        """Whether the plan point lies inside the outline and in no cut-out (even-odd rule)."""
        return sum(_inside(ring, x, y) for ring in self.rings) % 2 == 1

    @property
    def box(self) -> tuple[float, float, float, float]:
        """Least and greatest x and y: x0, y0, x1, y1."""
        xs, ys = zip(*self.rings[0], strict=True)
        return min(xs), min(ys), max(xs), max(ys)

    def reaches_under(self, other: Silhouette) -> bool:
        """Whether this solid ends no higher than the other and their boxes overlap in plan: part of it may be hidden."""
        (ax0, ay0, ax1, ay1), (bx0, by0, bx1, by1) = self.box, other.box
        apart = ax1 <= bx0 + _TOUCH or bx1 <= ax0 + _TOUCH or ay1 <= by0 + _TOUCH or by1 <= ay0 + _TOUCH
        return self.high <= other.high and not apart


def silhouette(solid: Prism) -> Silhouette:
    """Return a prism as seen from above.

    An upright prism shows its own outline and cut-outs. Any other shows the convex hull of its corners, which is exact
    for every prism lying level and for convex outlines at any slant. One with cut ends shows what is left of it.
    """
    if solid.cuts:
        return _cut(solid)
    frame = np.array(solid.frame, dtype=float)
    start, end = float(solid.start), float(solid.end)
    outline = _placed(frame, solid.outline, start, end)
    low, high = float(outline[:, 2].min()), float(outline[:, 2].max())
    if abs(frame[2, 0]) < _LEVEL and abs(frame[2, 1]) < _LEVEL:
        rings = (solid.outline, *solid.cutouts)
        return Silhouette(tuple(_plan(_placed(frame, ring, start, start)) for ring in rings), low, high)
    return Silhouette((hull(_plan(outline)),), low, high)


def _cut(solid: Prism) -> Silhouette:
    """Return a prism with cut ends as seen from above."""
    from solver.geometry.plan_view import rings_from_above
    from solver.geometry.solids import pieces_of

    heights = np.concatenate([piece[:, 2] for piece in pieces_of(solid)])
    rings = tuple(tuple((float(x), float(y)) for x, y in ring) for ring in rings_from_above(solid))
    return Silhouette(rings, float(heights.min()), float(heights.max()))


def _placed(frame: Array, ring: Sequence[Sequence[float]], start: float, end: float) -> Array:
    """Return the ring at both ends of the extrusion as an (n, 3) array in the table frame."""
    ends = [start] if start == end else [start, end]
    local = np.array([(u, v, w, 1.0) for w in ends for u, v in ring])
    placed: Array = (local @ frame.T)[:, :3]
    return placed


def _plan(points: Array) -> tuple[Point2, ...]:
    return tuple((float(x), float(y)) for x, y, _ in points)


def hull(points: Sequence[Point2]) -> tuple[Point2, ...]:
    """Return the convex hull, counter-clockwise, by the monotone chain."""
    ordered = sorted(set(points))
    if len(ordered) < 3:
        return tuple(ordered)
    lower, upper = _chain(ordered), _chain(ordered[::-1])
    return tuple(lower[:-1] + upper[:-1])


def _chain(points: Sequence[Point2]) -> list[Point2]:
    chain: list[Point2] = []
    for x, y in points:
        while len(chain) > 1:
            (ax, ay), (bx, by) = chain[-2], chain[-1]
            if (bx - ax) * (y - ay) - (by - ay) * (x - ax) > 0:
                break
            chain.pop()
        chain.append((x, y))
    return chain


def _inside(ring: Sequence[Point2], x: float, y: float) -> bool:
    inside = False
    for (ax, ay), (bx, by) in zip(ring, (*ring[1:], ring[0]), strict=True):
        if (ay > y) != (by > y) and x < ax + (y - ay) / (by - ay) * (bx - ax):
            inside = not inside
    return inside
