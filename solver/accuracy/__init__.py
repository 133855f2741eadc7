"""Accuracy: the locator matrix of every part and the error it leaves at a point."""

from solver.accuracy.influence import Motion, PointDeviation, motions, point_deviation, source_error_mm
from solver.accuracy.locator_matrix import (
    EXACT,
    Axis,
    LocatingState,
    PartContacts,
    block_rows,
    locating_state,
    locator_matrix,
    state_of_rows,
    weakest_motion,
)

__all__ = [
    "EXACT",
    "Axis",
    "LocatingState",
    "Motion",
    "PartContacts",
    "PointDeviation",
    "block_rows",
    "locating_state",
    "locator_matrix",
    "motions",
    "point_deviation",
    "source_error_mm",
    "state_of_rows",
    "weakest_motion",
]
