"""Numbers as somebody would have written them: without the noise of computing, and no zero with a sign."""

from __future__ import annotations

from collections.abc import Sequence

from inventory.shapes import Array, Point3

DIGITS = 9
"""Digits after the point that are kept of mm."""
UNIT_DIGITS = 12
"""Digits after the point that are kept of unit vectors: 20 m along one are true to less than DIGITS."""


def tidy(value: float, digits: int = DIGITS) -> float:
    """Return a number rounded to some digits after the point, never -0.0."""
    return round(float(value), digits) + 0.0


def tidy_point(point: Array | Sequence[float], digits: int = DIGITS) -> Point3:
    """Return a point or direction with each of its numbers rounded."""
    x, y, z = (tidy(value, digits) for value in point)
    return x, y, z
