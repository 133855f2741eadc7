"""How far a solid reaches in a direction, by its points and by how far its curves may stray from the lines between them.

A curve strays square to its circle's axis, or the way its own points bend; a flat face strays nowhere out of its plane. So a
solid with one round face is not taken to reach farther on all its sides.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from inventory.shapes import Array
from solver.recognition.boundary import ARC_STEP, ArcEdge, DrawnFace, FreeEdge, SolidBoundary

SAGITTA = 1 - math.cos(ARC_STEP / 2)
"""How far an arc of radius 1 strays from the lines between its points."""
Numbers = NDArray[np.intp]
"""By number, the face that each of many belongs to."""
PARABOLA = 4.0
"""A curve is taken to stray by a second difference of its points over this: twice what a parabola does, as `bulge` is."""


class Reach:
    """A solid asked how far it reaches; what it is made of is gathered once."""

    def __init__(self, boundary: SolidBoundary) -> None:
        faces = [face for face in boundary.faces if len(face.points)]
        self._points = np.concatenate([face.points for face in faces])
        self._starts = np.cumsum([0, *(len(face.points) for face in faces)])[:-1]
        self._count = len(faces)
        arcs = [(k, edge) for k, face in enumerate(faces) for edge in face.edges if isinstance(edge, ArcEdge)]
        self._arc_faces = np.array([k for k, _ in arcs], dtype=int)
        self._arc_sags = np.array([edge.radius * SAGITTA for _, edge in arcs])
        self._arc_axes = np.array([edge.axis for _, edge in arcs]).reshape(-1, 3)
        self._bends = [_gathered([bends(face) for face in faces]) for bends in (_edge_bends, _net_bends, _net_bends_across)]

    def along(self, directions: Array) -> Array:
        """Return how far the solid reaches along unit directions (k, 3), mm from the origin, (k,): never less than it does."""
        reached = np.maximum.reduceat(self._points @ directions.T, self._starts, axis=0)
        strays = np.zeros((self._count, len(directions)))
        flat = np.sqrt(np.clip(1 - (self._arc_axes @ directions.T) ** 2, 0, 1))
        np.maximum.at(strays, self._arc_faces, self._arc_sags[:, None] * flat)
        for owners, bends in self._bends:
            bent = np.zeros_like(strays)
            np.maximum.at(bent, owners, np.abs(bends @ directions.T) / PARABOLA)
            strays += bent
        found: Array = (reached + strays).max(axis=0)
        return found


def _gathered(bends: Sequence[Array]) -> tuple[Numbers, Array]:
    owners: Numbers = np.repeat(np.arange(len(bends)), [len(each) for each in bends])
    return owners, np.concatenate(bends)


def _bends(points: Array) -> Array:
    """Return the second differences along the first axis of points (n, ..., 3), (m, 3)."""
    return (points[2:] - 2 * points[1:-1] + points[:-2]).reshape(-1, 3)


def _edge_bends(face: DrawnFace) -> Array:
    free = [_bends(edge.points) for edge in face.edges if isinstance(edge, FreeEdge)]
    return np.concatenate([np.zeros((0, 3)), *free])


def _net(face: DrawnFace) -> Array:
    side = math.isqrt(len(face.inside))
    return np.array(face.inside, dtype=float).reshape(side, side, 3)


def _net_bends(face: DrawnFace) -> Array:
    return _bends(_net(face))


def _net_bends_across(face: DrawnFace) -> Array:
    return _bends(_net(face).swapaxes(0, 1))
