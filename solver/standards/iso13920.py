"""General tolerances of linear and angular dimensions of welded constructions, by class and size.

Source: ISO 13920:1996 (tables 1 and 2), values read in public copies and compared with each other; the first range of
table 1 is one merged cell, +-1 for every class (copies that lose it print B, C and D one column to the left). Table 2 goes
by the shorter leg of the angle and gives the same limits twice: as an angle and, rounded, as mm per m of that leg.
"""

from __future__ import annotations

import math
from typing import Literal

from inventory.errors import Fault, InvalidDocument

LinearClass = Literal["A", "B", "C", "D"]

LINEAR_UP_TO: tuple[float, ...] = (30, 120, 400, 1000, 2000, 4000, 8000, 12000, 16000, 20000)
LINEAR_MM: dict[str, tuple[float, ...]] = {
    "A": (1, 1, 1, 2, 3, 4, 5, 6, 7, 8, 9),
    "B": (1, 2, 2, 3, 4, 6, 8, 10, 12, 14, 16),
    "C": (1, 3, 4, 6, 8, 11, 14, 18, 21, 24, 27),
    "D": (1, 4, 7, 9, 12, 16, 21, 27, 32, 36, 40),
}
LEAST_MM = 2.0
ANGULAR_UP_TO: tuple[float, ...] = (400, 1000)
ANGULAR_MINUTES: dict[str, tuple[float, ...]] = {"A": (20, 15, 10), "B": (45, 30, 20), "C": (60, 45, 30), "D": (90, 75, 60)}
ANGULAR_MM_PER_M: dict[str, tuple[float, ...]] = {"A": (6, 4.5, 3), "B": (13, 9, 6), "C": (18, 13, 9), "D": (26, 22, 18)}


def linear_mm(tolerance_class: str, length_mm: float) -> float:
    """Return the +- tolerance of a linear dimension (table 1), mm; lengths from 2 mm up, ranges include their upper bound.

    Raises
    ------
    InvalidDocument
        If the class is not A to D or the length is below 2 mm.
    """
    _refuse(tolerance_class, length_mm, LEAST_MM)
    return LINEAR_MM[tolerance_class][sum(length_mm > bound for bound in LINEAR_UP_TO)]


def angular_degrees(tolerance_class: str, shorter_leg_mm: float) -> float:
    """Return the +- tolerance of an angle (table 2), degrees, by the length of its shorter leg; ranges include their upper bound.

    Raises
    ------
    InvalidDocument
        If the class is not A to D or the leg has no length.
    """
    _refuse(tolerance_class, shorter_leg_mm, math.ulp(0.0))
    return ANGULAR_MINUTES[tolerance_class][_angular_range(shorter_leg_mm)] / 60


def angular_mm(tolerance_class: str, shorter_leg_mm: float) -> float:
    """Return the +- tolerance of an angle (table 2) as the deviation at the end of its shorter leg, mm.

    Raises
    ------
    InvalidDocument
        If the class is not A to D or the leg has no length.
    """
    _refuse(tolerance_class, shorter_leg_mm, math.ulp(0.0))
    return ANGULAR_MM_PER_M[tolerance_class][_angular_range(shorter_leg_mm)] * shorter_leg_mm / 1000


def _angular_range(shorter_leg_mm: float) -> int:
    return sum(shorter_leg_mm > bound for bound in ANGULAR_UP_TO)


def _refuse(tolerance_class: str, length_mm: float, least_mm: float) -> None:
    if tolerance_class not in LINEAR_MM:
        raise InvalidDocument([Fault("/class", f"ISO 13920 has no class {tolerance_class!r} here", "A to D")])
    if not least_mm <= length_mm < math.inf:
        accepted = f"{least_mm:g} mm or more" if least_mm >= LEAST_MM else "a length above 0"
        raise InvalidDocument([Fault("/length", f"ISO 13920 gives nothing for {length_mm:g} mm", accepted)])
