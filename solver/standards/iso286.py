"""Play of a peg in a hole from fit limits.

Source: ISO 286 limits of H7, g6, h6 and f7 for sizes over 10 to 30 mm, read in public tables and in a general-purpose
package (pressfit 0.1.0); other sizes and fits are not held here and are refused.
"""

from __future__ import annotations

from dataclasses import dataclass

from inventory.errors import Fault, InvalidDocument

STEPS: tuple[tuple[float, float], ...] = ((10, 18), (18, 30))
LIMITS_UM: dict[str, tuple[tuple[int, int], tuple[int, int]]] = {
    "H7": ((0, 18), (0, 21)),
    "g6": ((-17, -6), (-20, -7)),
    "h6": ((-11, 0), (-13, 0)),
    "f7": ((-34, -16), (-41, -20)),
}


@dataclass(frozen=True, slots=True)
class Clearance:
    """Least and largest diametral clearance, mm."""

    least_mm: float
    most_mm: float

    @property
    def play_mm(self) -> float:
        """How far a peg may sit off the hole's centre either way, mm: half the largest clearance."""
        return self.most_mm / 2


def clearance(diameter_mm: float, fit: str = "H7/g6") -> Clearance:
    """Return the clearance of a peg in a hole of one nominal diameter.

    Parameters
    ----------
    diameter_mm : float
        Nominal size, over 10 up to and including 30 mm.
    fit : str
        Hole and shaft, such as ``H7/g6``.

    Raises
    ------
    InvalidDocument
        If size or fit is not in the table.
    """
    hole, _, shaft = fit.partition("/")
    if hole != "H7" or shaft not in LIMITS_UM or shaft == "H7":
        raise InvalidDocument([Fault("/fit", f"no limits for the fit {fit!r}", "H7/g6, H7/h6 or H7/f7")])
    for step, (over, up_to) in enumerate(STEPS):
        if over < diameter_mm <= up_to:
            (hole_low, hole_high), (shaft_low, shaft_high) = LIMITS_UM[hole][step], LIMITS_UM[shaft][step]
            return Clearance((hole_low - shaft_high) / 1000.0, (hole_high - shaft_low) / 1000.0)
    raise InvalidDocument([Fault("/diameter", f"no limits for {diameter_mm:g} mm", "over 10 up to 30 mm")])
