"""Closure: do contacts alone, without gravity, immobilise a part whatever pushes it?

First-order test: with wrench columns F the part is closed if F has full rank and F k = 0 for some k >= 1. Frictionless
contacts give form closure (at least 7 in space, 4 in the plane); friction-cone generators give force closure.
Source: Lynch & Park, Modern Robotics, section 12.1.7.
"""

from __future__ import annotations

import numpy as np
from scipy.optimize import linprog

from inventory.shapes import Array

NOTHING = 1e-9
"""A row this much smaller than the largest is rounding: the contacts have no force or moment of that kind."""


def closing_forces(wrenches: Array) -> Array | None:
    """Return the least contact forces k >= 1 (least sum) that cancel, or None if the wrenches do not close the part.

    Parameters
    ----------
    wrenches : (m, n)
        One column per contact (or friction-cone generator): m = 6 in space, 3 in the plane.
    """
    rows = wrenches.shape[0]
    size = np.abs(wrenches).max(axis=1, initial=0.0)
    if (size <= NOTHING * size.max(initial=0.0)).any() or np.linalg.matrix_rank(wrenches / size[:, None]) < rows:
        return None
    answer = linprog(
        np.ones(wrenches.shape[1]), A_eq=wrenches / size[:, None], b_eq=np.zeros(rows), bounds=(1, None), method="highs"
    )
    return np.asarray(answer.x) if answer.status == 0 else None


def wrenches_of(at: Array, direction: Array) -> Array:
    """Return the (6, n) wrench columns [f; r x f] of unit forces."""
    return np.concatenate([direction, np.cross(at, direction)], axis=1).T
