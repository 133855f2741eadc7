"""Closed outlines in a section's plane: circles, rounded rectangles, the flat sides of a ring, and what they enclose."""

from __future__ import annotations

import math
from dataclasses import dataclass

from inventory import limits
from inventory.shapes import Point2

Ring = tuple[Point2, ...]
SHARP = 0.01
"""A corner radius below this, mm, is drawn sharp."""


@dataclass(frozen=True, slots=True)
class Edge:
    """A flat side of a section: face `label`, from `a` to `b` in the (u, v) plane, outward `normal` (unit)."""

    label: str
    a: Point2
    b: Point2
    normal: Point2


@dataclass(frozen=True, slots=True)
class SectionProperties:
    """Area (mm2), centroid (mm) and second moments about the centroid (mm4)."""

    area: float
    centroid: Point2
    i_uu: float
    i_vv: float


def circle(diameter: float, sides: int, *, circumscribe: bool) -> Ring:
    """Return a regular polygon with flats square to the axes, around or inside the circle."""
    radius = diameter / 2 / (math.cos(math.pi / sides) if circumscribe else 1.0)
    angles = ((k + 0.5) * 2 * math.pi / sides for k in range(sides))
    return tuple((radius * math.cos(angle), radius * math.sin(angle)) for angle in angles)


def rounded(width: float, height: float, radius: float, steps: int) -> Ring:
    """Return a rectangle about the origin with each corner an arc of so many steps, sharp below `SHARP`."""
    u, v = width / 2, height / 2
    if radius < SHARP:
        return ((u, -v), (u, v), (-u, v), (-u, -v))
    ring: list[Point2] = []
    for cu, cv, first in (
        (u - radius, v - radius, 0),
        (radius - u, v - radius, 1),
        (radius - u, radius - v, 2),
        (u - radius, radius - v, 3),
    ):
        for step in range(steps + 1):
            angle = (first + step / steps) * math.pi / 2
            point = (cu + radius * math.cos(angle), cv + radius * math.sin(angle))
            if not ring or math.dist(point, ring[-1]) >= limits.SPACING:
                ring.append(point)
    return tuple(ring if math.dist(ring[0], ring[-1]) >= limits.SPACING else ring[:-1])


def signed_area(ring: Ring) -> float:
    """Return the area enclosed by a ring, positive if it runs counter-clockwise, mm2."""
    return 0.5 * sum(a[0] * b[1] - b[0] * a[1] for a, b in zip(ring, (*ring[1:], ring[0]), strict=True))


def deepest_dent(ring: Ring) -> tuple[float, int]:
    """Return how far a corner of a simple ring lies inside of the line between its neighbours, mm, and which: the deepest one.

    0 or less for a convex ring.
    """
    sense = 1.0 if signed_area(ring) > 0 else -1.0
    depths = []
    for k, (u, v) in enumerate(ring):
        (u0, v0), (u1, v1) = ring[k - 1], ring[(k + 1) % len(ring)]
        turn = sense * ((u - u0) * (v1 - v) - (v - v0) * (u1 - u))
        depths.append(-turn / max(math.dist(ring[k - 1], ring[(k + 1) % len(ring)]), limits.SPACING))
    deepest = max(range(len(ring)), key=depths.__getitem__)
    return depths[deepest], deepest


def ring_edges(prefix: str, ring: Ring, *, outward: bool) -> list[Edge]:
    """Return the sides of a ring, labelled `prefix`:0, 1, ...; their normals look out of it, or (`outward` false) into it."""
    sense = 1.0 if (signed_area(ring) > 0) == outward else -1.0
    edges = []
    for k, (a, b) in enumerate(zip(ring, (*ring[1:], ring[0]), strict=True)):
        length = math.dist(a, b)
        normal = (sense * (b[1] - a[1]) / length, -sense * (b[0] - a[0]) / length)
        edges.append(Edge(f"{prefix}:{k}", a, b, normal))
    return edges


def properties(outer: Ring, inner: tuple[Ring, ...]) -> SectionProperties:
    """Return section properties by Green's theorem over the rings."""
    area = first_u = first_v = uu = vv = 0.0
    for ring, sign in ((outer, 1.0), *((ring, -1.0) for ring in inner)):
        sense = sign if signed_area(ring) > 0 else -sign
        for (u0, v0), (u1, v1) in zip(ring, (*ring[1:], ring[0]), strict=True):
            cross = sense * (u0 * v1 - u1 * v0)
            area += cross / 2
            first_u += cross * (u0 + u1) / 6
            first_v += cross * (v0 + v1) / 6
            uu += cross * (v0 * v0 + v0 * v1 + v1 * v1) / 12
            vv += cross * (u0 * u0 + u0 * u1 + u1 * u1) / 12
    u, v = first_u / area, first_v / area
    return SectionProperties(area, (u, v), uu - area * v * v, vv - area * u * u)
