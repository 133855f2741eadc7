"""Where a solid along an axis ends: square ends, and the planes that cut it.

A plane cuts a prism just if the whole solid lies on its one side; what has steps, notches or copes has a plane that does not.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from inventory.shapes import Array
from solver.recognition.boundary import DrawnFace, PlaneSurface, SolidBoundary
from solver.recognition.cross_section import CrossSection
from solver.recognition.outlines.sides import farthest
from solver.recognition.tolerances import PARALLEL, SAME


@dataclass(frozen=True)
class CutEnds:
    """The ends of a solid, as seen from its section's basis and origin.

    Parameters
    ----------
    low, high : float
        Between which w the solid lies, mm.
    square : tuple of bool
        Whether it has an end face square to its axis at `low` and at `high`.
    planes : tuple of (normal, offset)
        Each plane that cuts it: its unit normal (3,), to what is taken away, and its distance along it, mm.
    """

    low: float
    high: float
    square: tuple[bool, bool]
    planes: tuple[tuple[Array, float], ...]


def supporting(boundary: SolidBoundary) -> set[int]:
    """Return the numbers of the plane faces that have the whole solid on their one side."""
    points = boundary.points
    found = set()
    for face in boundary.faces:
        if isinstance(face.surface, PlaneSurface):
            normal = np.array(face.surface.normal)
            beyond = float((points @ normal).max() - np.dot(face.surface.point, normal))
            if beyond <= SAME:
                found.add(face.number)
    return found


def cut_ends(boundary: SolidBoundary, section: CrossSection, ends: Sequence[DrawnFace]) -> CutEnds:
    """Return where a solid ends whose faces that are not lateral, `ends`, are supporting planes."""
    basis, origin = section.basis, section.origin
    points = (boundary.points - origin) @ basis
    low, high = float(points[:, 2].min()), float(points[:, 2].max())
    square = [False, False]
    planes: list[tuple[Array, float]] = []
    for face in ends:
        assert isinstance(face.surface, PlaneSurface)
        normal = np.array(face.surface.normal) @ basis
        offset = float((np.array(face.surface.point) - origin) @ basis @ normal)
        if np.hypot(normal[0], normal[1]) < PARALLEL:
            at_end = int(normal[2] > 0)
            square[at_end] = True
            low, high = (low, max(high, offset)) if at_end else (min(low, -offset), high)
        elif not any(_same(normal, offset, *plane, reach=float(np.abs(points).max())) for plane in planes):
            planes.append((normal, offset))
    tips = _tips(section, planes)
    low, high = (min(low, tips[0]) if not square[0] else low), (max(high, tips[1]) if not square[1] else high)
    return CutEnds(low, high, (square[0], square[1]), tuple(planes))


def _same(normal: Array, offset: float, other: Array, other_offset: float, reach: float) -> bool:
    away = float(np.linalg.norm(np.cross(normal, other))) * reach
    return float(normal @ other) > 0 and abs(offset - other_offset) + away <= SAME


def _tips(section: CrossSection, planes: Sequence[tuple[Array, float]]) -> tuple[float, float]:
    """Return how far cut round sides reach along the axis: no edge ends at the tip of a mitred round tube."""
    low, high = np.inf, -np.inf
    for normal, offset in planes:
        if abs(normal[2]) < PARALLEL:
            continue
        slope = -normal[:2] / normal[2]
        for u, v in farthest(section.outer, float(slope[0]), float(slope[1])):
            tip = np.array([u, v, offset / normal[2] + slope @ (u, v)])
            if all(float(tip @ other) <= reach + SAME for other, reach in planes):
                low, high = min(low, tip[2]), max(high, tip[2])
    return float(low), float(high)
