"""Tips: the upright edges between a cut and a long face of a lying part, where a pad may stop the part across its length."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from inventory.shapes import Array
from solver.checks.arithmetic.vectors import following
from solver.checks.scene.faces import Face, faces
from solver.checks.scene.scene import UP, SetPart
from solver.checks.tolerances import LEVEL, SQUARE, TOUCH

NAME = "tip:"
"""How the labels of tips begin; the cut's number follows."""


@dataclass(frozen=True)
class Tip:
    """The upright edges (k, 2, 3) a cut shares with long faces, their normals (k, 3) and the cut's, and the part's corners."""

    label: str
    edges: Array
    beside: Array
    cut: Array
    corners: Array

    def excess(self, points: Array, normal: Array) -> float:
        """Return how far points lie off the nearest of the edges, mm; infinite if a pad of this normal cannot stand there.

        Its plane must leave the whole part on one side and may be neither the long face's nor the cut's own.
        """
        off = math.inf
        for edge, face in zip(self.edges, self.beside, strict=True):
            flat = max(abs(float(normal @ face)), abs(float(normal @ self.cut))) > SQUARE
            beyond = float(((self.corners - edge[0]) @ normal).min()) < -TOUCH
            if not flat and not beyond and abs(float(normal @ UP)) < LEVEL:
                off = min(off, _off(edge, points))
        return off


def _off(edge: Array, points: Array) -> float:
    """Return how far the farthest of points (k, 3) lies off an edge (2, 3), mm."""
    along = edge[1] - edge[0]
    length = float(np.linalg.norm(along))
    place = np.clip((points - edge[0]) @ along / length, 0.0, length)
    return float(np.linalg.norm(points - edge[0] - place[:, None] * along / length, axis=1).max())


def tip(part: SetPart, label: str) -> Tip | None:
    """Return the tip of that label, None if the part has none."""
    cut = next((found for found in faces(part) if found.label == label.replace(NAME, "cut:", 1)), None)
    lying = abs(float(part.pose[:3, 2] @ UP)) < LEVEL
    upright = isinstance(cut, Face) and abs(float(cut.normal @ UP)) < LEVEL
    if not label.startswith(NAME) or not lying or not upright or part.part.section.shape == "plate":
        return None
    assert isinstance(cut, Face)
    edges, beside = [], []
    for face in faces(part):
        if isinstance(face, Face) and face.label.startswith("side:") and abs(float(face.normal @ UP)) < LEVEL:
            ring = face.origin + face.rings[0] @ face.basis
            for edge in np.stack([ring, following(ring)], axis=1):
                if np.abs((edge - cut.origin) @ cut.normal).max() < TOUCH and np.linalg.norm(edge[1] - edge[0]) > TOUCH:
                    edges.append(edge)
                    beside.append(face.normal)
    return Tip(label, np.array(edges), np.array(beside), cut.normal, part.block.corners) if edges else None
