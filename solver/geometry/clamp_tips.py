"""Where a clamp's tip stands on two faces of one plane at once."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise

import shapely
from shapely.geometry import LineString
from shapely.geometry.base import BaseGeometry

from inventory.shapes import Array
from solver.geometry.faces import Face
from solver.geometry.tolerances import TOUCH

ROUNDING = 0.1
"""Distances from paths are taken this much to the safe side, mm: round zones are polygons here."""


def stands_on_both(one: Face, other: Face, paths: Sequence[Array], clear: float) -> bool:
    """Return whether some spot lies on both of two faces in one plane, and at least `clear` from every path (k, 3), mm.

    A hollow end is taken without its hollow: a pad there bears on the wall around its middle. A spot on the border of two faces
    lies on both. Where a spot is only just missing it may be told, never the other way round.
    """
    moved = shapely.transform(other.whole, lambda points: one.flat(other.lifted(points)))
    both = one.whole.buffer(TOUCH).intersection(moved.buffer(TOUCH))
    shut = [zone for path in paths for a, b in pairwise(path) if (zone := _too_near(one, a, b, clear - ROUNDING)) is not None]
    return not both.difference(shapely.union_all(shut)).is_empty


def _too_near(face: Face, a: Array, b: Array, clear: float) -> BaseGeometry | None:
    """Return where in a face's plane all points lie nearer than `clear` to the line from a to b, None if nowhere for certain."""
    off = max(abs(float(face.normal @ (point - face.origin))) for point in (a, b))
    return LineString([face.flat(a), face.flat(b)]).buffer((clear**2 - off**2) ** 0.5) if off < clear else None
