"""A convex prism with cut ends around any solid, for what takes up room and is not located by its own faces."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from inventory import limits
from inventory.cuts import PlaneCut
from inventory.shapes import Array, Point2, Ring
from solver.drafting.tidy import tidy, tidy_point
from solver.recognition.boundary import PlaneSurface, SolidBoundary
from solver.recognition.candidates import axes
from solver.recognition.cross_section import basis_about
from solver.recognition.cut_ends import supporting
from solver.recognition.directions import COARSE, DIGITS, DIRECTION_DIGITS, positive
from solver.recognition.reach import Reach
from solver.recognition.tolerances import PARALLEL, SAME
from solver.sections import Section
from solver.weldment import Material, Part, Pose

CORNERS = 64
"""Corners of an outer outline, at most: finer ones are taken together, outwards."""
ALIKE = 1e-3
"""Directions of sides that differ by no more, rad, are one."""
SHORT = 0.05
"""Sides of an outer outline are no shorter, mm."""
TRIED = 12
"""So many axes are tried; the least volume is taken."""


@dataclass(frozen=True)
class OuterPrism:
    """A convex prism that holds a solid: its outline, length, pose, and the planes that cut it; `volume`, mm3, without cuts."""

    outline: Ring
    length: float
    pose: Pose
    cuts: tuple[PlaneCut, ...]
    volume: float

    def part(self, id: str, name: str = "", material: Material = "steel") -> Part:
        """Return it as a part of a weldment that takes up room only."""
        return Part(id, Section("body", plate_outline=self.outline), self.length, self.pose, material, name, self.cuts)


def outer_prism(boundary: SolidBoundary) -> OuterPrism:
    """Return the smallest convex prism found around a solid: along its faces' directions and those of its frame.

    Its outline is the convex hull of the solid seen along the axis, moved out as far as the solid reaches beyond its points.
    It is cut by the solid's own flat faces that have all of it on their one side.
    """
    ways = [*axes(boundary.faces)[:TRIED], *np.eye(3)]
    reach = Reach(boundary)
    around = [_along(boundary, reach, axis) for axis in ways]
    return min(around, key=lambda prism: (round(prism.volume, 3), *(-round(c, COARSE) for c in prism.pose.along)))


def _along(boundary: SolidBoundary, reach: Reach, axis: Array) -> OuterPrism:
    basis = basis_about(positive(axis))
    origin = np.mean(boundary.box, axis=0)
    points = (boundary.points - origin) @ basis

    def reached(directions: Array) -> Array:
        away: Array = reach.along(directions) - directions @ origin + SAME / 10
        return away

    outline = _outline(hull(points[:, :2]), lambda normals: reached(normals @ basis[:, :2].T))
    below, above = reached(np.array([-basis[:, 2], basis[:, 2]]))
    start, end = -float(below), float(above)
    corner = np.array(outline).min(axis=0)
    at = origin + basis @ np.array([*corner, start])
    pose = Pose(tidy_point(at, DIGITS), tidy_point(basis[:, 2], DIRECTION_DIGITS), tidy_point(basis[:, 1], DIRECTION_DIGITS))
    ring = tuple((tidy(u - corner[0], DIGITS), tidy(v - corner[1], DIGITS)) for u, v in outline)
    frame = pose.frame()
    cuts = _cuts(boundary, reach, frame)
    return OuterPrism(ring, tidy(end - start, DIGITS), pose, cuts, _area(outline) * (end - start))


def _cuts(boundary: SolidBoundary, reach: Reach, frame: Array) -> tuple[PlaneCut, ...]:
    """Return the planes of a solid that cut its outer prism, those of the largest faces first, at most as many as may be."""
    fitting = supporting(boundary)
    found: list[tuple[float, Array, float]] = []
    for face in boundary.faces:
        if not isinstance(face.surface, PlaneSurface) or face.number not in fitting:
            continue
        normal = np.array(face.surface.normal) @ frame[:3, :3]
        outwards = np.array(face.surface.normal)
        offset = float(reach.along(outwards[None])[0] - frame[:3, 3] @ outwards) + SAME / 10
        slanted = PARALLEL < abs(normal[2]) < 1 - PARALLEL
        if slanted and not any(normal @ other > 1 - PARALLEL for _, other, _ in found):
            spread = np.ptp(face.points, axis=0)
            found.append((-float(np.linalg.norm(spread)), normal, offset))
    found.sort(key=lambda cut: (round(cut[0], 3), *np.round(cut[1], COARSE)))
    return tuple(
        PlaneCut(tidy_point(normal * offset, DIGITS), tidy_point(normal, DIRECTION_DIGITS))
        for _, normal, offset in found[: limits.CUTS]
    )


def hull(points: Array) -> list[Point2]:
    """Return the convex hull of points (n, 2), counter-clockwise, without corners on straight sides (Andrew, 1979)."""
    ordered = sorted({(float(u), float(v)) for u, v in np.round(points, 9)})
    chains: list[list[Point2]] = []
    for run in (ordered, ordered[::-1]):
        chain: list[Point2] = []
        for point in run:
            while len(chain) > 1 and _left(chain[-2], chain[-1], point) <= 1e-9:
                chain.pop()
            chain.append(point)
        chains.append(chain[:-1])
    return [*chains[0], *chains[1]]


def _left(a: Point2, b: Point2, c: Point2) -> float:
    return (b[0] - a[0]) * (c[1] - a[1]) - (b[1] - a[1]) * (c[0] - a[0])


def _outline(ring: list[Point2], reach: Callable[[Array], Array]) -> list[Point2]:
    """Return an outline by lines in at most `CORNERS` directions, those of a convex ring's sides if there are so few.

    Each line lies where the solid reaches along its normal (`reach`, of (k, 2) normals), so all of it lies within. Lines are left
    out that differ little from their neighbour, or bound only a short side or none: a ring of fewer lines is larger.
    """
    sides = [(bv - av, au - bu) for (au, av), (bu, bv) in pairwise([*ring, ring[0]])]
    if len(sides) > CORNERS:
        around = 2 * np.pi * np.arange(CORNERS // 2) / (CORNERS // 2)
        longest = sorted(sides, key=lambda side: -math.hypot(*side))[: CORNERS // 2]
        sides = [*longest, *((math.cos(turn), math.sin(turn)) for turn in around)]
    turns = sorted((math.atan2(v, u), -math.hypot(u, v)) for u, v in sides)
    normals: list[Point2] = []
    for turn, _ in turns:
        if not normals or turn - math.atan2(normals[-1][1], normals[-1][0]) > ALIKE:
            normals.append((math.cos(turn), math.sin(turn)))
    offsets = [float(offset) for offset in reach(np.array(normals))]
    while True:
        found = [_crossing(normals[k - 1], offsets[k - 1], normals[k], offsets[k]) for k in range(len(normals))]
        lengths = [_along_side(normals[k], found[k], found[(k + 1) % len(found)]) for k in range(len(found))]
        shortest = min(range(len(found)), key=lambda k: lengths[k])
        if lengths[shortest] >= SHORT or len(normals) <= 4:
            return found
        del normals[shortest], offsets[shortest]


def _along_side(normal: Point2, start: Point2, end: Point2) -> float:
    """Return how long the side on a line is, counter-clockwise; negative if its neighbours cross before they come to it."""
    return normal[0] * (end[1] - start[1]) - normal[1] * (end[0] - start[0])


def _crossing(one: Point2, reach: float, other: Point2, other_reach: float) -> Point2:
    """Return where two lines meet that are given by their normals and distances along them."""
    cross = one[0] * other[1] - one[1] * other[0]
    return (reach * other[1] - other_reach * one[1]) / cross, (other_reach * one[0] - reach * other[0]) / cross


def _area(ring: list[Point2]) -> float:
    return abs(sum(a[0] * b[1] - b[0] * a[1] for a, b in zip(ring, [*ring[1:], ring[0]], strict=True))) / 2
