"""Outlines with arcs as polygons that keep all of the metal: arcs that bulge out are circumscribed, bores are inscribed.

Circles have at least 48 sides, and so many that no polygon is farther than `SAG` from its arc.
"""

from __future__ import annotations

import math

from inventory.shapes import Point2, Ring
from solver.recognition.outlines.sides import RoundSide, Sides
from solver.sections import CIRCLE_SIDES

SAG = 0.1
"""The largest distance between an arc and its polygon, mm, of radii up to what `MOST` sides allow."""
MOST = 480
"""Sides of a polygon all round, at most."""


def polygon(sides: Sides) -> Ring:
    """Return an outline with its arcs as straight sides: what it encloses holds all that the arcs enclosed."""
    found: list[Point2] = []
    for side in sides:
        found += _arc(side) if isinstance(side, RoundSide) else [side.a]
    return tuple(found)


def _arc(side: RoundSide) -> list[Point2]:
    """Return the corners that stand for an arc, from its start up to, but without, its end."""
    around = min(MOST, max(CIRCLE_SIDES, 4 * math.ceil(math.pi / 4 * math.sqrt(side.radius / (2 * SAG)))))
    count = max(1, math.ceil(around * abs(side.sweep) / (2 * math.pi) - 1e-6))
    step = side.sweep / count
    if not side.convex:
        return [side.at(side.first + k * step) for k in range(count)]
    reach = RoundSide(side.centre, side.radius / math.cos(step / 2), side.first, side.sweep)
    met = [reach.at(side.first + (k + 0.5) * step) for k in range(count)]
    return met if side.whole else [side.a, *met]
