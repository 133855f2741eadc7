"""Cells of a cut list that are no plain number or word: directions, and how far an end is cut off square."""

from __future__ import annotations

import math
import re
from collections.abc import Mapping

from inventory.shapes import PlaneCut, Point3
from service.exchange.cells import Unreadable, number, plain
from solver.sections import Section

_AXES: Mapping[str, Point3] = {"x": (1.0, 0.0, 0.0), "y": (0.0, 1.0, 0.0), "z": (0.0, 0.0, 1.0)}
_SIDES: Mapping[str, tuple[int, float]] = {"up": (1, 1.0), "down": (1, -1.0), "left": (0, 1.0), "right": (0, -1.0)}
"""Where a slanted end is short: which of u and v, and its sign. With v up and w ahead, u points to the left."""
STEEPEST = 85.0
"""An end is cut off square by less than this, degrees."""
DIRECTION = "an axis such as +x or -z, or three numbers such as 0 1 0"
SLANT = f"degrees off square, less than {STEEPEST:g}, and where the end is short: 45, 45 up, 30 down, 45 left, 22.5 right"


def direction(cell: str) -> Point3:
    """Return the direction in a cell: ``+x``, ``-z``, ``0 1 0``.

    Raises
    ------
    Unreadable
        If it is none.
    """
    text = plain(cell).lower()
    axis = re.fullmatch(r"([+-]?)\s*([xyz])", text)
    if axis:
        sign = -1.0 if axis[1] == "-" else 1.0
        x, y, z = _AXES[axis[2]]
        return sign * x + 0.0, sign * y + 0.0, sign * z + 0.0
    numbers = [each for each in re.split(r"[\s;/|]+", text.strip("()[] ")) if each]
    if len(numbers) != 3:
        raise Unreadable("is no direction")
    x, y, z = (float(number(each)) for each in numbers)
    if not (math.isfinite(x * y * z) and (x or y or z)):
        raise Unreadable("has no length")
    return x, y, z


def slant(cell: str) -> tuple[float, str] | None:
    """Return how far an end is cut off square, degrees, and where it is short; None if it is square.

    Raises
    ------
    Unreadable
        If it is neither.
    """
    match = re.fullmatch(r"(?P<degrees>[\d.,]+)\s*(?:\u00b0|deg|degrees)?\s*(?P<side>up|down|left|right)?", plain(cell).lower())
    if match is None:
        raise Unreadable("is no slant of an end")
    degrees = float(number(match["degrees"]))
    if degrees >= STEEPEST:
        raise Unreadable("is too steep")
    return (degrees, match["side"] or "up") if degrees else None


def end_cut(section: Section, length: float, end: bool, degrees: float, side: str) -> PlaneCut:
    """Return the plane that cuts an end: it meets the part's full length where the end is long, opposite to where it is short.

    Parameters
    ----------
    section : Section
    length : float
        Over the longest side, mm.
    end : bool
        Whether it is the end at w = `length`, else the start.
    degrees : float
        Off square.
    side : str
        ``up``, ``down``, ``left`` or ``right``: where it is short.
    """
    axis, sign = _SIDES[side]
    reach = [sign * point[axis] for point in section.outline]
    point, normal = [0.0, 0.0, length if end else 0.0], [0.0, 0.0, math.cos(math.radians(degrees))]
    point[axis], normal[axis] = sign * min(reach), sign * math.sin(math.radians(degrees))
    normal[2] *= 1.0 if end else -1.0
    return PlaneCut((point[0], point[1], point[2]), (normal[0], normal[1], normal[2]))
