"""General tolerances for welded constructions by class and size.

Source: ISO 13920:1996 (tables 1 to 3), values read in public copies and compared with each other; the first range of
table 1 is one merged cell, +-1 for every class (copies that lose it print B, C and D one column to the left).
"""

from __future__ import annotations

from typing import Literal

from inventory.errors import Fault, InvalidDocument

LinearClass = Literal["A", "B", "C", "D"]
FlatClass = Literal["E", "F", "G", "H"]
Range = tuple[float, ...]

LINEAR_UP_TO: Range = (30, 120, 400, 1000, 2000, 4000, 8000, 12000, 16000, 20000)
LINEAR_MM: dict[str, Range] = {
    "A": (1, 1, 1, 2, 3, 4, 5, 6, 7, 8, 9),
    "B": (1, 2, 2, 3, 4, 6, 8, 10, 12, 14, 16),
    "C": (1, 3, 4, 6, 8, 11, 14, 18, 21, 24, 27),
    "D": (1, 4, 7, 9, 12, 16, 21, 27, 32, 36, 40),
}
ANGULAR_UP_TO: Range = (400, 1000)
ANGULAR_DEG: dict[str, Range] = {
    "A": (20 / 60, 15 / 60, 10 / 60),
    "B": (45 / 60, 30 / 60, 20 / 60),
    "C": (1, 45 / 60, 30 / 60),
    "D": (1.5, 1.25, 1),
}
ANGULAR_MM_PER_M: dict[str, Range] = {"A": (6, 4.5, 3), "B": (13, 9, 6), "C": (18, 13, 9), "D": (26, 22, 18)}
FLAT_UP_TO: Range = (120, 400, 1000, 2000, 4000, 8000, 12000, 16000, 20000)
FLAT_MM: dict[str, Range] = {
    "E": (0.5, 1, 1.5, 2, 3, 4, 5, 6, 7, 8),
    "F": (1, 1.5, 3, 4.5, 6, 8, 10, 12, 14, 16),
    "G": (1.5, 3, 5.5, 9, 11, 16, 20, 22, 25, 25),
    "H": (2.5, 5, 9, 14, 18, 26, 32, 36, 40, 40),
}


def linear_mm(tolerance_class: str, length_mm: float) -> float:
    """Return the +- tolerance of a linear dimension (table 1), mm; lengths from 2 mm up, ranges include their upper bound.

    Raises
    ------
    InvalidDocument
        If the class is not A to D or the length is below 2 mm.
    """
    return _of(LINEAR_MM, tolerance_class, LINEAR_UP_TO, length_mm, 2.0)


def angular_deg(tolerance_class: str, shorter_leg_mm: float) -> float:
    """Return the +- tolerance of an angle (table 2), degrees, by the length of its shorter leg.

    Raises
    ------
    InvalidDocument
        If the class is not A to D or the leg is not positive.
    """
    return _of(ANGULAR_DEG, tolerance_class, ANGULAR_UP_TO, shorter_leg_mm, 0.0)


def angular_mm(tolerance_class: str, shorter_leg_mm: float) -> float:
    """Return the same tolerance as a +- deviation at the end of the shorter leg (table 2, mm per m), mm."""
    return _of(ANGULAR_MM_PER_M, tolerance_class, ANGULAR_UP_TO, shorter_leg_mm, 0.0) * shorter_leg_mm / 1000.0


def flatness_mm(tolerance_class: str, longer_side_mm: float) -> float:
    """Return the straightness, flatness and parallelism tolerance (table 3, a whole width, not +-), mm; from 30 mm up.

    Raises
    ------
    InvalidDocument
        If the class is not E to H or the side is below 30 mm.
    """
    return _of(FLAT_MM, tolerance_class, FLAT_UP_TO, longer_side_mm, 30.0)


def _of(table: dict[str, Range], tolerance_class: str, up_to: Range, size_mm: float, least_mm: float) -> float:
    if tolerance_class not in table:
        first, last = min(table), max(table)
        raise InvalidDocument([Fault("/class", f"ISO 13920 has no class {tolerance_class!r} here", f"{first} to {last}")])
    if not least_mm <= size_mm < float("inf") or size_mm <= 0:
        accepted = f"{least_mm:g} mm or more" if least_mm else "more than 0 mm"
        raise InvalidDocument([Fault("/length", f"ISO 13920 gives nothing for {size_mm:g} mm", accepted)])
    column = sum(size_mm > bound for bound in up_to)
    return table[tolerance_class][column]
