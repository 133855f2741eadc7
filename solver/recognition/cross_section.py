"""The section of a solid square to an axis: the faces along the axis, seen along it, put together to closed outlines.

A prism with cut ends keeps the whole outline of its section in its lateral faces, whatever the cuts take from their ends. So the
outline is read from them, and not from a plane laid through the solid, which might meet a cut.
"""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

import numpy as np

from inventory.errors import HoldwrightError
from inventory.shapes import Array, Point2
from solver.recognition.boundary import CylinderSurface, DrawnFace, PlaneSurface
from solver.recognition.outlines.sides import RoundSide, Side, Sides, StraightSide, enclosed
from solver.recognition.tolerances import BREAK, FULL_TURN, PARALLEL, SAME


@dataclass(frozen=True)
class CrossSection:
    """A section in the plane of `basis`.

    Parameters
    ----------
    basis : array (3, 3)
        Its columns are right-handed, the third along the solid.
    origin : array (3,)
        Where u, v and w count from, in the solid's frame.
    outer : sides
        Counter-clockwise.
    holes : tuple of sides
        Clockwise: the solid lies on the left of every side.
    """

    basis: Array
    origin: Array
    outer: Sides
    holes: tuple[Sides, ...]

    @property
    def area(self) -> float:
        """Its area, mm2."""
        return enclosed(self.outer) + sum(enclosed(hole) for hole in self.holes)


@dataclass(frozen=True)
class OpenOutline(HoldwrightError):
    """The lateral faces do not close to one outline with holes; `at` is where, in the plane of the section."""

    at: Point2 | None
    text: str


def is_lateral(face: DrawnFace, axis: Array) -> bool:
    """Whether a face runs along an axis (unit)."""
    surface = face.surface
    x, y, z = (float(c) for c in axis)
    if isinstance(surface, PlaneSurface):
        a, b, c = surface.normal
        return abs(a * x + b * y + c * z) < PARALLEL
    if isinstance(surface, CylinderSurface):
        a, b, c = surface.axis
        return math.hypot(b * z - c * y, c * x - a * z, a * y - b * x) < PARALLEL
    return False


def basis_about(axis: Array) -> Array:
    """Return a right-handed basis (columns) whose third direction is the axis; axis-parallel where it can be."""
    helper = np.eye(3)[int(np.argmin(np.abs(np.round(axis, 9))))]
    first = np.cross(helper, axis)
    first /= np.linalg.norm(first)
    return np.column_stack([first, np.cross(axis, first), axis])


def cross_section(lateral: Sequence[DrawnFace], basis: Array, origin: Array) -> CrossSection:
    """Return the section that lateral faces enclose, seen from an origin (3,).

    Raises OpenOutline if they enclose none, or more than one.
    """
    sides: list[Side] = [*_straight(lateral, basis, origin), *_round(lateral, basis, origin)]
    rings: list[Sides] = [(ring,) for ring in sides if isinstance(ring, RoundSide) and ring.whole]
    rings += _chained([side for side in sides if not (isinstance(side, RoundSide) and side.whole)])
    outer = [ring for ring in rings if enclosed(ring) > 0]
    if len(outer) != 1:
        text = "its faces along it enclose no section" if not outer else f"its section is in {len(outer)} pieces"
        raise OpenOutline(outer[1][0].a if len(outer) > 1 else None, text)
    holes = sorted((ring for ring in rings if enclosed(ring) <= 0), key=lambda ring: min(side.a for side in ring))
    return CrossSection(basis, origin, outer[0], tuple(holes))


def _straight(lateral: Iterable[DrawnFace], basis: Array, origin: Array) -> list[StraightSide]:
    """Return the straight sides: faces on one plane that meet are one side."""
    lines: list[tuple[Point2, float, list[tuple[float, float]]]] = []
    for face in lateral:
        if not isinstance(face.surface, PlaneSurface):
            continue
        n = np.array(face.surface.normal) @ basis[:, :2]
        n /= np.linalg.norm(n)
        flat = (face.points - origin) @ basis[:, :2]
        along = flat @ np.array([-n[1], n[0]])
        offset = float((np.array(face.surface.point) - origin) @ basis[:, :2] @ n)
        reach = float(along.min()), float(along.max())
        for normal, other, reaches in lines:
            if abs(other - offset) <= SAME / 2 and n @ normal > 0 and _parallel(normal, n, flat):
                reaches.append(reach)
                break
        else:
            lines.append(((float(n[0]), float(n[1])), offset, [reach]))
    found = []
    for (nu, nv), offset, reaches in lines:
        for low, high in _joined(reaches, SAME):
            ends = [(nu * offset - nv * t, nv * offset + nu * t) for t in (low, high)]
            if high - low > BREAK:
                found.append(StraightSide(*ends))
    return found


def _parallel(one: Point2, other: Array, points: Array) -> bool:
    """Whether two lines of those normals through about the same points are one, as far as these points reach."""
    size = float(np.abs(points).max()) + 1.0
    return abs(one[0] * float(other[1]) - one[1] * float(other[0])) * size <= SAME / 2


def _joined(reaches: Iterable[tuple[float, float]], gap: float) -> list[tuple[float, float]]:
    """Return intervals with those put together that meet."""
    found: list[tuple[float, float]] = []
    for low, high in sorted(reaches):
        if found and low <= found[-1][1] + gap:
            found[-1] = found[-1][0], max(high, found[-1][1])
        else:
            found.append((low, high))
    return found


def _round(lateral: Iterable[DrawnFace], basis: Array, origin: Array) -> list[RoundSide]:
    """Return the round sides: faces on one cylinder that meet are one side."""
    circles: list[tuple[Point2, float, bool, list[tuple[float, float]]]] = []
    for face in lateral:
        surface = face.surface
        if not isinstance(surface, CylinderSurface):
            continue
        u, v = (np.array(surface.point) - origin) @ basis[:, :2]
        x, y = np.array(surface.reference) @ basis[:, :2]
        turn = math.atan2(y, x)
        same_way = float(np.dot(surface.axis, basis[:, 2])) > 0
        low, high = (surface.first, surface.last) if same_way else (-surface.last, -surface.first)
        reach = turn + low, turn + high
        for centre, radius, convex, reaches in circles:
            if convex == surface.convex and abs(radius - surface.radius) <= SAME / 2 and math.dist(centre, (u, v)) <= SAME / 2:
                reaches.append(reach)
                break
        else:
            circles.append(((float(u), float(v)), surface.radius, surface.convex, [reach]))
    found = []
    for centre, radius, convex, reaches in circles:
        for low, high in _joined_turns(reaches, SAME / radius):
            if (high - low) * radius > BREAK:
                found.append(
                    RoundSide(centre, radius, low, high - low) if convex else RoundSide(centre, radius, high, low - high)
                )
    return found


def _joined_turns(reaches: Iterable[tuple[float, float]], gap: float) -> list[tuple[float, float]]:
    """Return intervals of angles with those put together that meet; all round is one of 2 pi."""
    whole = 2 * math.pi
    started = [(low % whole, low % whole + high - low) for low, high in reaches]
    joined = _joined(started, gap)
    while len(joined) > 1 and joined[-1][1] >= joined[0][0] + whole - gap:
        low, high = joined.pop()
        joined[0] = low - whole, max(joined[0][1], high - whole)
    low, high = joined[0]
    if len(joined) == 1 and high - low >= min(FULL_TURN, whole - gap):
        return [(low, low + whole)]
    return joined


def _chained(sides: Sequence[Side]) -> list[Sides]:
    """Return sides put together to closed rings, each starting at its lowest start."""
    cell = 4 * SAME
    starts: dict[tuple[int, int], list[int]] = defaultdict(list)
    for number, side in enumerate(sides):
        starts[_cell(side.a, cell)].append(number)
    following = []
    for side in sides:
        u, v = _cell(side.b, cell)
        near = [k for i in (-1, 0, 1) for j in (-1, 0, 1) for k in starts.get((u + i, v + j), ())]
        near = [k for k in near if math.dist(sides[k].a, side.b) <= 2 * SAME]
        if len(near) != 1:
            text = "its faces along it leave a gap" if not near else "its faces along it meet in more than pairs"
            raise OpenOutline(side.b, text)
        following.append(near[0])
    if len(set(following)) != len(following):
        raise OpenOutline(sides[0].a, "its faces along it meet in more than pairs")
    rings: list[Sides] = []
    left = dict.fromkeys(range(len(sides)))
    while left:
        number = next(iter(left))
        ring = []
        while number in left:
            del left[number]
            ring.append(sides[number])
            number = following[number]
        first = min(range(len(ring)), key=lambda k: ring[k].a)
        rings.append((*ring[first:], *ring[:first]))
    return rings


def _cell(point: Point2, size: float) -> tuple[int, int]:
    return math.floor(point[0] / size), math.floor(point[1] / size)
