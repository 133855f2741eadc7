"""General tolerances of linear dimensions of welded constructions, by class and size.

Source: ISO 13920:1996 (table 1), values read in public copies and compared with each other; the first range of
table 1 is one merged cell, +-1 for every class (copies that lose it print B, C and D one column to the left).
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


def linear_mm(tolerance_class: str, length_mm: float) -> float:
    """Return the +- tolerance of a linear dimension (table 1), mm; lengths from 2 mm up, ranges include their upper bound.

    Raises
    ------
    InvalidDocument
        If the class is not A to D or the length is below 2 mm.
    """
    if tolerance_class not in LINEAR_MM:
        raise InvalidDocument([Fault("/class", f"ISO 13920 has no class {tolerance_class!r} here", "A to D")])
    if not LEAST_MM <= length_mm < math.inf:
        raise InvalidDocument([Fault("/length", f"ISO 13920 gives nothing for {length_mm:g} mm", f"{LEAST_MM:g} mm or more")])
    return LINEAR_MM[tolerance_class][sum(length_mm > bound for bound in LINEAR_UP_TO)]
