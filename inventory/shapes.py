"""Prisms and rigid frames as plain values: the one geometric primitive of every document."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]
Point2 = tuple[float, float]
Point3 = tuple[float, float, float]
Matrix = tuple[tuple[float, float, float, float], ...]

IDENTITY: Matrix = ((1.0, 0.0, 0.0, 0.0), (0.0, 1.0, 0.0, 0.0), (0.0, 0.0, 1.0, 0.0), (0.0, 0.0, 0.0, 1.0))


@dataclass(frozen=True, slots=True)
class Prism:
    """An outline in the local (u, v) plane, extruded along local w.

    Parameters
    ----------
    outline : tuple of (u, v)
        Simple polygon, mm, either winding, not closed by repetition of the first vertex.
    cutouts : tuple of outlines
        Holes strictly inside the outline.
    start, end : float
        Extrusion along w, mm, start < end (``from`` and ``to`` in documents).
    frame : 4x4 row-major matrix
        Columns u, v, w and origin as seen in the parent; a proper rigid transform.
    """

    outline: tuple[Point2, ...]
    start: float
    end: float
    cutouts: tuple[tuple[Point2, ...], ...] = ()
    frame: Matrix = IDENTITY

    def placed(self, frame: Array) -> Prism:
        """Return the prism as seen from the parent of `frame` (4x4, applied after its own)."""
        return Prism(self.outline, self.start, self.end, self.cutouts, as_matrix(frame @ np.array(self.frame)))


def as_matrix(frame: Array) -> Matrix:
    """Return a 4x4 array as the plain tuple documents and values carry."""
    return tuple(tuple(float(value) for value in row) for row in frame)  # type: ignore[misc]


def turned(degrees: float, at: Point3 = (0.0, 0.0, 0.0)) -> Array:
    """Return the 4x4 frame turned counter-clockwise about +z by `degrees`, with its origin at `at`.

    Quarter turns are exact.
    """
    cosine, sine = _EXACT.get(float(degrees) % 360.0) or (np.cos(np.radians(degrees)), np.sin(np.radians(degrees)))
    frame = np.eye(4)
    frame[0, 0], frame[0, 1], frame[1, 0], frame[1, 1] = cosine, -sine, sine, cosine
    frame[:3, 3] = at
    return frame


_EXACT = {0.0: (1.0, 0.0), 90.0: (0.0, 1.0), 180.0: (-1.0, 0.0), 270.0: (0.0, -1.0)}
