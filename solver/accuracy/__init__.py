"""Accuracy: the locator matrix of every part and the error it leaves at a point."""

from solver.accuracy.influence import (
    EXACT,
    Motion,
    PartContacts,
    PointError,
    increment_residual_mm,
    motions,
    point_error,
    source_error_mm,
)
from solver.accuracy.locating import Locating, Mass, locating, locator_matrix

__all__ = [
    "EXACT",
    "Locating",
    "Mass",
    "Motion",
    "PartContacts",
    "PointError",
    "increment_residual_mm",
    "locating",
    "locator_matrix",
    "motions",
    "point_error",
    "source_error_mm",
]
