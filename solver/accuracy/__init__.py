"""Accuracy: the locator matrix of every part and the error it leaves at a point."""

from solver.accuracy.influence import (
    EXACT,
    Motion,
    PartContacts,
    PointDeviation,
    motions,
    point_deviation,
    source_error_mm,
)
from solver.accuracy.locator_matrix import Axis, LocatingState, locating_state, locator_matrix, weakest_motion

__all__ = [
    "EXACT",
    "Axis",
    "LocatingState",
    "Motion",
    "PartContacts",
    "PointDeviation",
    "locating_state",
    "locator_matrix",
    "motions",
    "point_deviation",
    "source_error_mm",
    "weakest_motion",
]
