"""Prisms and rigid frames as plain values: the one geometric primitive of every document."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from inventory import limits
from inventory.cuts import PlaneCut, cut_faults
from inventory.errors import Fault, refuse
from inventory.outlines import Point2, Point3, Ring, face_faults

Array = NDArray[np.float64]
Matrix = tuple[tuple[float, float, float, float], ...]

IDENTITY: Matrix = ((1.0, 0.0, 0.0, 0.0), (0.0, 1.0, 0.0, 0.0), (0.0, 0.0, 1.0, 0.0), (0.0, 0.0, 0.0, 1.0))
RIGID = 1e-6
"""How far a frame's columns may be from unit length and square to each other."""

__all__ = ["Array", "PlaneCut", "IDENTITY", "Matrix", "Point2", "Point3", "Prism", "Ring", "as_matrix", "frame_faults", "turned"]


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
    cuts : tuple of PlaneCut
        Half spaces taken off, in the prism's own frame; something is left.

    Raises
    ------
    InvalidDocument
        With every fault, at pointers by the documents' field names.
    """

    outline: tuple[Point2, ...]
    start: float
    end: float
    cutouts: tuple[tuple[Point2, ...], ...] = ()
    frame: Matrix = IDENTITY
    cuts: tuple[PlaneCut, ...] = ()

    def __post_init__(self) -> None:
        refuse(_prism_faults(self))

    def placed(self, frame: Array) -> Prism:
        """Return the prism as seen from the parent of `frame` (4x4 rigid, applied after its own)."""
        # A sound prism moved rigidly is sound: candidates are placed by the thousand, so it is not checked again.
        moved = object.__new__(Prism)
        values = (self.outline, self.start, self.end, self.cutouts, as_matrix(frame @ np.array(self.frame)), self.cuts)
        for name, value in zip(("outline", "start", "end", "cutouts", "frame", "cuts"), values, strict=True):
            object.__setattr__(moved, name, value)
        return moved


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


def frame_faults(pointer: str, frame: Matrix) -> Iterator[Fault]:
    """Yield what keeps a 4x4 matrix from being a proper rigid transform with its origin within 20 m."""
    if frame == IDENTITY:
        return
    accepted = "a 4x4 row-major matrix: three unit columns square to each other, right-handed, last row 0 0 0 1"
    if len(frame) != 4 or any(len(row) != 4 for row in frame):
        yield Fault(pointer, "the frame is not 4x4", accepted)
        return
    if not all(math.isfinite(value) for row in frame for value in row):
        yield Fault(pointer, "the frame is not finite", accepted)
        return
    if tuple(frame[3]) != (0, 0, 0, 1):
        yield Fault(f"{pointer}/3", f"the last row is {[float(v) for v in frame[3]]}", "0, 0, 0, 1")
    columns = [[frame[row][column] for row in range(3)] for column in range(3)]
    square = all(
        abs(math.fsum(a * b for a, b in zip(columns[i], columns[j], strict=True)) - (i == j)) <= RIGID
        for i in range(3)
        for j in range(i, 3)
    )
    if not square:
        yield Fault(pointer, "the frame stretches or shears", accepted)
    elif _determinant(columns) < 0:
        yield Fault(pointer, "the frame mirrors: its columns are left-handed", accepted)
    for row in range(3):
        yield from limits.COORDINATE.faults(f"{pointer}/{row}/3", frame[row][3])


def _determinant(columns: list[list[float]]) -> float:
    (a, b, c), (d, e, f), (g, h, i) = columns
    return a * (e * i - f * h) - b * (d * i - f * g) + c * (d * h - e * g)


def _prism_faults(prism: Prism) -> Iterator[Fault]:
    faces = face_faults("/outline", "/cutouts", prism.outline, prism.cutouts)
    yield from faces
    ends = [*limits.COORDINATE.faults("/from", prism.start), *limits.COORDINATE.faults("/to", prism.end)]
    yield from ends
    if not ends and prism.end - prism.start < limits.SPACING:
        wrong = f"the prism ends at {limits.plain(prism.end)}, no higher than it starts, {limits.plain(prism.start)}"
        yield Fault("/to", wrong, "more than `from`")
    elif not faces and not ends and prism.cuts:
        yield from cut_faults("/cuts", prism.outline, prism.cutouts, (prism.start, prism.end), prism.cuts)
    yield from frame_faults("/frame", prism.frame)
