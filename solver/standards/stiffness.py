"""Stiffness of a stack: springs in series, and a cantilever where a riser or an arm gives its section.

Source: Euler-Bernoulli cantilever, tip load F: deflection F L^3 / (3 E I), slope F L^2 / (2 E I), along the length
F x^2 (3 L - x) / (6 E I) (any strength-of-materials handbook). Twice the length is eight times as soft.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from solver.standards.materials import MATERIALS


@dataclass(frozen=True, slots=True)
class Segment:
    """One straight piece of a column or an arm: length, mm, second moment of area in the plane of bending, mm4, modulus, MPa."""

    length_mm: float
    i_mm4: float
    young_mpa: float = MATERIALS["steel"].young_mpa.value

    def __post_init__(self) -> None:
        if not (self.length_mm > 0 and self.i_mm4 > 0 and self.young_mpa > 0):
            raise ValueError(
                f"length, second moment and modulus must be > 0, got {self.length_mm}, {self.i_mm4}, {self.young_mpa}"
            )


def series_n_per_mm(stiffnesses: Sequence[float]) -> float:
    """Return the stiffness of springs one on the other, N/mm: the reciprocals add; none at all is rigid."""
    if any(not stiffness > 0 for stiffness in stiffnesses):
        raise ValueError(f"every stiffness of a stack must be > 0, got {list(stiffnesses)}")
    softness = sum(1.0 / stiffness for stiffness in stiffnesses)
    return 1.0 / softness if softness else math.inf


def tip_mm(segments: Sequence[Segment], force_n: float) -> float:
    """Return the deflection at the tip of a column of segments, root first, under a load across the tip, mm.

    Virtual work: the integral of F s^2 / (E I) over the distance s from the tip.
    """
    return sum(force_n * (far**3 - near**3) / (3 * piece.young_mpa * piece.i_mm4) for near, far, piece in _from_tip(segments))


def bending_n_per_mm(segments: Sequence[Segment]) -> float:
    """Return the stiffness of a column of segments against a load across its tip, N/mm."""
    return 1.0 / tip_mm(segments, 1.0) if segments else math.inf


def _from_tip(segments: Sequence[Segment]) -> list[tuple[float, float, Segment]]:
    """Return (near, far, segment) with distances from the tip."""
    spans, near = [], 0.0
    for piece in reversed(segments):
        spans.append((near, near + piece.length_mm, piece))
        near += piece.length_mm
    return spans
