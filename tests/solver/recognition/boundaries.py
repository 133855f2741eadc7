"""Boundaries made by hand: prisms of straight and round sides, with their ends cut or not, placed by a frame."""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np

from inventory.shapes import Array, Point2, Point3
from solver.recognition import ArcEdge, CylinderSurface, DrawnFace, PlaneSurface, SolidBoundary, StraightEdge
from solver.sections import signed_area

STANDING = np.eye(4)


def polygon_prism(
    outline: Sequence[Point2], length: float, frame: Array = STANDING, holes: Sequence[Sequence[Point2]] = ()
) -> SolidBoundary:
    """Return a prism over a counter-clockwise outline with clockwise holes, both square ends."""
    faces: list[DrawnFace] = []
    ends: list[list[tuple[StraightEdge, ...]]] = [[], []]

    def at(u: float, v: float, w: float) -> Point3:
        return _point(frame[:3, :3] @ np.array([u, v, w]) + frame[:3, 3])

    def way(u: float, v: float, w: float) -> Point3:
        return _point(frame[:3, :3] @ np.array([u, v, w]))

    for ring in (outline, *holes):
        pairs = list(zip(ring, (*ring[1:], ring[0]), strict=True))
        for a, b in pairs:
            size = math.dist(a, b)
            corners = [at(*a, 0), at(*b, 0), at(*b, length), at(*a, length)]
            loop = tuple(StraightEdge(p, q) for p, q in zip(corners, (*corners[1:], corners[0]), strict=True))
            normal = way((b[1] - a[1]) / size, (a[0] - b[0]) / size, 0)
            faces.append(DrawnFace(len(faces) + 1, PlaneSurface(corners[0], normal), (loop,)))
        for k, w in enumerate((0.0, length)):
            ends[k].append(tuple(StraightEdge(at(*a, w), at(*b, w)) for a, b in pairs))
    for k, w in enumerate((0.0, length)):
        faces.append(DrawnFace(len(faces) + 1, PlaneSurface(at(0, 0, w), way(0, 0, (-1, 1)[k])), tuple(ends[k])))
    area = signed_area(tuple(outline)) + sum(signed_area(tuple(hole)) for hole in holes)
    return SolidBoundary(tuple(faces), area * length)


def round_prism(diameter: float, length: float, frame: Array = STANDING, bore: float = 0.0) -> SolidBoundary:
    """Return a round bar or, with a bore, a tube, both square ends."""
    axes, origin = frame[:3, :3], frame[:3, 3]
    u, w = _point(axes[:, 0]), _point(axes[:, 2])
    at = [origin, origin + length * axes[:, 2]]
    faces: list[DrawnFace] = []
    circles: list[list[ArcEdge]] = [[], []]
    for radius, convex in ((diameter / 2, True), *(((bore / 2, False),) if bore else ())):
        for k in range(2):
            start = at[k] + radius * axes[:, 0]
            circles[k].append(ArcEdge(_point(at[k]), w, _point(start), 2 * math.pi))
        surface = CylinderSurface(_point(origin), w, u, radius, 0.0, 2 * math.pi, convex)
        faces.append(DrawnFace(len(faces) + 1, surface, ((circles[0][-1],), (circles[1][-1],))))
    for k, sense in ((0, -1.0), (1, 1.0)):
        normal = _point(sense * axes[:, 2])
        faces.append(DrawnFace(len(faces) + 1, PlaneSurface(_point(at[k]), normal), tuple((circle,) for circle in circles[k])))
    return SolidBoundary(tuple(faces), math.pi / 4 * (diameter**2 - bore**2) * length)


def _point(numbers: Array) -> Point3:
    x, y, z = numbers
    return float(x), float(y), float(z)


def rectangle(width: float, height: float, at: Point2 = (0.0, 0.0)) -> list[Point2]:
    """Return a rectangle, counter-clockwise from its lower left corner."""
    u, v = at
    return [(u, v), (u + width, v), (u + width, v + height), (u, v + height)]
