"""Splines as points: non-uniform rational B-splines, clamped or not, within a stated distance."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from inventory.errors import HoldwrightError
from service.exchange.weldments.dxf.curves import FREE_MM

Array = NDArray[np.float64]
MOST_DEGREE = 12
MOST_POINTS = 5000
"""Control or fit points of one spline."""
_FINEST = 1024
"""Pieces of one span between two knots, at most."""
_SAMPLES = 4


class UnsoundSpline(HoldwrightError):
    """Its numbers are no spline; the text says why."""


def spline_points(control: Array, degree: int, knots: Sequence[float], weights: Sequence[float]) -> list[tuple[float, float]]:
    """Return points of a flat spline, the lines between which are within `FREE_MM` of it.

    Parameters
    ----------
    control : array (n, 2)
        Control points, mm.
    degree : int
        1 to `MOST_DEGREE`.
    knots : sequence of n + degree + 1 numbers
        Rising.
    weights : sequence of n numbers
        Positive; empty: all alike.

    Raises
    ------
    UnsoundSpline
        If these are no spline.
    """
    t, w = np.array(knots, dtype=float), np.array(weights if len(weights) else np.ones(len(control)), dtype=float)
    _look(control, degree, t, w)
    homogeneous = np.column_stack([control * w[:, None], w])
    first, last = t[degree], t[len(control)]
    spans = np.unique(t[(t >= first) & (t <= last)])
    found: list[tuple[float, float]] = []
    for low, high in pairwise(spans):
        points = _span(homogeneous, degree, t, low, high)
        found += [(float(x), float(y)) for x, y in (points if not found else points[1:])]
    return found


def _look(control: Array, degree: int, knots: Array, weights: Array) -> None:
    count = len(control)
    if not 1 <= degree <= MOST_DEGREE:
        raise UnsoundSpline(f"a spline of degree {degree}; 1 to {MOST_DEGREE} is read")
    if not degree < count <= MOST_POINTS:
        raise UnsoundSpline(f"{count} control points of degree {degree}; {degree + 1} to {MOST_POINTS} are read")
    if len(knots) != count + degree + 1:
        raise UnsoundSpline(f"{len(knots)} knots for {count} control points of degree {degree}; it takes {count + degree + 1}")
    if len(weights) != count:
        raise UnsoundSpline(f"{len(weights)} weights for {count} control points")
    if not (np.isfinite(control).all() and np.isfinite(knots).all() and np.isfinite(weights).all()):
        raise UnsoundSpline("a spline of numbers that are not finite")
    if (weights <= 0).any():
        raise UnsoundSpline("a spline with weights that are not positive")
    if (np.diff(knots) < 0).any() or knots[degree] >= knots[count]:
        raise UnsoundSpline("a spline whose knots do not rise")


def _span(homogeneous: Array, degree: int, knots: Array, low: float, high: float) -> Array:
    """Return points of one span, halved until they are close enough."""
    pieces = 1
    while True:
        fine = _points(homogeneous, degree, knots, np.linspace(low, high, pieces * _SAMPLES + 1))
        corners = fine[::_SAMPLES]
        chords = np.diff(corners, axis=0)
        lengths = np.maximum(np.hypot(*chords.T), 1e-12)
        away = 0.0
        for sample in range(1, _SAMPLES):
            from_start = fine[sample::_SAMPLES] - corners[:-1]
            along = np.clip((from_start * chords).sum(axis=1) / lengths**2, 0.0, 1.0)
            away = max(away, float(np.hypot(*(from_start - along[:, None] * chords).T).max()))
        if away <= FREE_MM:
            return corners
        if pieces >= _FINEST:
            raise UnsoundSpline(f"a spline that {_FINEST} lines between two knots do not follow within {FREE_MM} mm")
        pieces *= 2


def _points(homogeneous: Array, degree: int, knots: Array, at: Array) -> Array:
    """Return the points of a spline at parameters within one span (de Boor's rule)."""
    middle = (at[0] + at[-1]) / 2
    span = int(np.clip(np.searchsorted(knots, middle, side="right") - 1, degree, len(homogeneous) - 1))
    rows = [np.repeat(homogeneous[span - degree + j][None, :], len(at), axis=0) for j in range(degree + 1)]
    for level in range(1, degree + 1):
        for j in range(degree, level - 1, -1):
            low, high = knots[span - degree + j], knots[span + 1 + j - level]
            share = ((at - low) / (high - low))[:, None]
            rows[j] = (1 - share) * rows[j - 1] + share * rows[j]
    point: Array = rows[degree][:, :2] / rows[degree][:, 2:]
    return point
