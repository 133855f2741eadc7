"""A solid as it is drawn: faces on planes, cylinders and other surfaces, bounded by straight, circular and free edges.

Plain values without any program of drawing behind them: whoever reads files makes them, recognition reads
nothing else. Lengths mm.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from inventory.shapes import Array, Point3

ARC_STEP = math.radians(5)
"""Arcs are sampled at least this finely, rad."""


@dataclass(frozen=True, slots=True)
class StraightEdge:
    """An edge from `start` to `end`."""

    start: Point3
    end: Point3

    @property
    def points(self) -> Array:
        """Its ends, (2, 3)."""
        return np.array([self.start, self.end])


@dataclass(frozen=True, slots=True)
class ArcEdge:
    """An edge on a circle about `axis` (unit) through `centre`: from `start`, by the angle `sweep` (rad, right-handed)."""

    centre: Point3
    axis: Point3
    start: Point3
    sweep: float

    @property
    def radius(self) -> float:
        """Of the circle, mm."""
        return math.dist(self.centre, self.start)

    @property
    def points(self) -> Array:
        """Points on it from its start to its end, (n, 3), at most `ARC_STEP` apart."""
        count = max(2, math.ceil(abs(self.sweep) / ARC_STEP) + 1)
        angles = np.linspace(0.0, self.sweep, count)[:, None]
        out = np.array(self.start) - np.array(self.centre)
        across = np.cross(self.axis, out)
        points: Array = np.array(self.centre) + np.cos(angles) * out + np.sin(angles) * across
        return points


@dataclass(frozen=True)
class FreeEdge:
    """An edge of any other kind, by points on it (n, 3) in their order."""

    sampled: tuple[Point3, ...]

    @property
    def points(self) -> Array:
        """The points it is given by."""
        return np.array(self.sampled)


DrawnEdge = StraightEdge | ArcEdge | FreeEdge


@dataclass(frozen=True, slots=True)
class PlaneSurface:
    """A plane; `normal` (unit) points out of the solid."""

    point: Point3
    normal: Point3


@dataclass(frozen=True, slots=True)
class CylinderSurface:
    """A cylinder about `axis` (unit) through `point`.

    Parameters
    ----------
    reference : direction
        Unit, square to the axis; angles count from it, right-handed about the axis.
    first, last : float
        The angles, rad, that the face covers; 2 pi apart if it goes all round.
    convex : bool
        Whether the solid lies inside it, as in a bar; false of a bore.
    """

    point: Point3
    axis: Point3
    reference: Point3
    radius: float
    first: float
    last: float
    convex: bool


@dataclass(frozen=True, slots=True)
class FreeSurface:
    """Any other surface; `kind` is what a user calls it: ``cone``, ``sphere``, ``torus``, ``free form``."""

    kind: str


Surface = PlaneSurface | CylinderSurface | FreeSurface


def numbers_of(surface: Surface) -> tuple[float, ...]:
    """Return every number that a surface is given by."""
    if isinstance(surface, PlaneSurface):
        return *surface.point, *surface.normal
    if isinstance(surface, CylinderSurface):
        return (*surface.point, *surface.axis, *surface.reference, surface.radius, surface.first, surface.last)
    return ()


@dataclass(frozen=True)
class DrawnFace:
    """One face of a solid.

    Parameters
    ----------
    number : int
        From 1, in the order of the file.
    surface : PlaneSurface, CylinderSurface or FreeSurface
        What it lies on.
    loops : tuple of tuple of edges
        Its outer loop and those of its holes; edges that lie upon each other (seams) may stand there twice.
    inside : tuple of points
        Points within it, of free surfaces.
    """

    number: int
    surface: Surface
    loops: tuple[tuple[DrawnEdge, ...], ...]
    inside: tuple[Point3, ...] = ()

    @cached_property
    def edges(self) -> tuple[DrawnEdge, ...]:
        """All its edges."""
        return tuple(edge for loop in self.loops for edge in loop)

    @cached_property
    def points(self) -> Array:
        """Points on its edges, and those given within it, (n, 3)."""
        own = [edge.points for edge in self.edges]
        return np.concatenate([*own, np.array(self.inside, dtype=float).reshape(-1, 3)])

    @property
    def middle(self) -> Point3:
        """A point in its midst, for pointing at it."""
        points = self.points
        x, y, z = (points.min(axis=0) + points.max(axis=0)) / 2 if len(points) else np.zeros(3)
        return float(x), float(y), float(z)


@dataclass(frozen=True)
class SolidBoundary:
    """A solid by its faces, with its volume, mm3, as its drawing program reckons it.

    Parameters
    ----------
    bulge : float
        No point of its free faces and edges is farther than this outside the convex hull of the points they are given by, mm.
    """

    faces: tuple[DrawnFace, ...]
    volume: float
    bulge: float = 0.0

    @cached_property
    def points(self) -> Array:
        """Points on all edges and faces, (n, 3)."""
        return np.concatenate([face.points for face in self.faces])

    @cached_property
    def sag(self) -> float:
        """No point of the solid is farther than this outside the convex hull of `points`, mm."""
        arcs = [edge.radius for face in self.faces for edge in face.edges if isinstance(edge, ArcEdge)]
        return self.bulge + max(arcs, default=0.0) * (1 - math.cos(ARC_STEP / 2))

    @property
    def box(self) -> tuple[Array, Array]:
        """The lowest and the highest of its coordinates, (3,) each."""
        return self.points.min(axis=0), self.points.max(axis=0)
