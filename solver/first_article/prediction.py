"""How far locating alone may put a reading off: the error of every locator, carried to the points that are measured.

Every locator errs by its repeatability, its stack's added up, and by the gap its increments leave; the parts' motions under
these errors are those by which a plan's locating error is judged. Shrinkage and clamping are not in it.
"""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np

from inventory.shapes import Array
from solver.checks.arithmetic.vectors import cross
from solver.checks.scene.scene import Scene

Motions = Mapping[str, Array]


def displacements(scene: Scene, motions: Motions, part: str, points: Array, direction: Array) -> Array:
    """Return how far points (k, 3) of a part move along a direction under each locator's error, mm, (k, n)."""
    inertia = scene.parts[part].inertia
    arms = cross(points - inertia.centre, direction) / inertia.rho
    moved: Array = np.hstack([np.broadcast_to(direction, arms.shape), arms]) @ motions[part]
    return moved


def turns(scene: Scene, motions: Motions, part: str, axis: Array) -> Array:
    """Return how far a part turns about an axis (unit) under each locator's error, radians, (n,)."""
    turned: Array = axis @ motions[part][3:] / scene.parts[part].inertia.rho
    return turned


def worst_and_rss(errors: Array | None) -> tuple[float | None, float | None]:
    """Return the worst case and the root of the sum of squares of one reading's errors (n,), mm; None for None."""
    if errors is None:
        return None, None
    return float(np.abs(errors).sum()), float(np.sqrt((errors * errors).sum()))
