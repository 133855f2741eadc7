"""Bodies as they are made, with true arcs: what programs of construction are given where a prism has many short sides.

A ring is a tuple of (u, v, bulge): where a side begins and how far it bulges, the tangent of a quarter of the arc's angle as DXF
has it (LWPOLYLINE, code 42): 0 a straight side, positive to the right of the way. A circle is two half arcs, of bulge 1 or -1.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from inventory import limits
from inventory.shapes import IDENTITY, Matrix, PlaneCut, Point2, Prism, Ring, as_matrix
from solver.sections import CIRCLE_SIDES, Section
from solver.sections.rings import SHARP
from solver.weldment import Part

CurvedCorner = tuple[float, float, float]
CurvedRing = tuple[CurvedCorner, ...]
QUARTER = math.tan(math.pi / 8)
"""The bulge of a quarter of a circle."""
_SAME = 1e-3
_ROUNDED = 2e-3
"""How far corners of a regular outline may be from their places, mm: catalogues round them to hundredths or finer."""


@dataclass(frozen=True, slots=True)
class CurvedSolid:
    """An outline of straight sides and arcs, extruded; a prism's other fields are as `Prism` has them.

    Parameters
    ----------
    rings : tuple of CurvedRing
        The outline, then its cut-outs, in the local (u, v) plane, mm; counter-clockwise each.
    """

    rings: tuple[CurvedRing, ...]
    start: float
    end: float
    frame: Matrix = IDENTITY
    cuts: tuple[PlaneCut, ...] = ()


def of_prism(prism: Prism) -> CurvedSolid:
    """Return a prism with its straight sides as they are."""
    return _solid(tuple(_straight(ring) for ring in (prism.outline, *prism.cutouts)), prism)


def of_piece(prism: Prism) -> CurvedSolid:
    """Return a solid of hardware: regular outlines of 48 sides and more are the circles they stand for.

    Outer outlines run around their circle, cut-outs inside theirs, as documents of items have them.
    """
    outer = _as_circle(prism.outline, outside=True) or _straight(prism.outline)
    return _solid((outer, *(_as_circle(ring, outside=False) or _straight(ring) for ring in prism.cutouts)), prism)


def of_part(part: Part) -> CurvedSolid:
    """Return a part in the weldment's frame with the arcs of its section."""
    return CurvedSolid(section_rings(part.section), 0.0, part.length, as_matrix(part.pose.frame()), part.cuts)


def of_placed_part(part: Part | None, prism: Prism) -> CurvedSolid:
    """Return a solid of a plan's part with the arcs of the part's section where it is that section, else as the plan has it."""
    if part is None or not _same_rings((part.section.outline, *part.section.cutouts), (prism.outline, *prism.cutouts)):
        return of_prism(prism)
    return _solid(section_rings(part.section), prism)


def section_rings(section: Section) -> tuple[CurvedRing, ...]:
    """Return a section's outline and cut-outs with true arcs."""
    if section.round:
        diameter, wall = section.sizes["diameter"], section.sizes.get("wall")
        bore = () if wall is None else (circle(diameter - 2 * wall),)
        return circle(diameter), *bore
    if section.box is None or not section.profile.rounded:
        return tuple(_straight(ring) for ring in (section.outline, *section.cutouts))
    (width, height), wall, radius = section.box, section.sizes["wall"], section.outside_radius
    return _rounded(width, height, radius), _rounded(width - 2 * wall, height - 2 * wall, max(0.0, radius - wall))


def circle(diameter: float, u: float = 0.0, v: float = 0.0) -> CurvedRing:
    """Return a circle about a point."""
    return (u + diameter / 2, v, 1.0), (u - diameter / 2, v, 1.0)


def sides(ring: CurvedRing) -> Iterator[tuple[CurvedCorner, CurvedCorner]]:
    """Yield each side of a ring: where it begins with its bulge, and where the next begins."""
    yield from zip(ring, (*ring[1:], ring[0]), strict=True)


def is_circle(ring: CurvedRing) -> bool:
    """Whether a ring is one circle."""
    return len(ring) == 2


def centre_and_radius(start: CurvedCorner, end: CurvedCorner) -> tuple[Point2, float]:
    """Return the middle and the radius of an arc's circle, mm, without what computing adds beyond a nanometre."""
    (u0, v0, bulge), (u1, v1, _) = start, end
    aside = (1 - bulge * bulge) / (4 * bulge)
    middle = (u0 + u1) / 2 - aside * (v1 - v0), (v0 + v1) / 2 + aside * (u1 - u0)
    radius = math.dist((u0, v0), (u1, v1)) * (1 + bulge * bulge) / (4 * abs(bulge))
    return (round(middle[0], 9), round(middle[1], 9)), round(radius, 9)


def _rounded(width: float, height: float, radius: float) -> CurvedRing:
    """Return a rectangle about the origin with true arcs at its corners, sharp below `SHARP`."""
    u, v = width / 2, height / 2
    if radius < SHARP:
        return (u, -v, 0.0), (u, v, 0.0), (-u, v, 0.0), (-u, -v, 0.0)
    a, b = u - radius, v - radius
    ring = (
        (u, -b, 0.0), (u, b, QUARTER), (a, v, 0.0), (-a, v, QUARTER),
        (-u, b, 0.0), (-u, -b, QUARTER), (-a, -v, 0.0), (a, -v, QUARTER),
    )  # fmt: skip
    # Where the arcs meet, the straight side between them has no length.
    ends = (*ring[1:], ring[0])
    return tuple(p for p, q in zip(ring, ends, strict=True) if p[2] or math.dist(p[:2], q[:2]) >= limits.SPACING)


def _as_circle(ring: Ring, outside: bool) -> CurvedRing | None:
    """Return the circle that a regular outline stands for: the one it runs around, or inside; None if it is another outline."""
    if len(ring) < CIRCLE_SIDES:
        return None
    count = len(ring)
    u, v = math.fsum(p[0] for p in ring) / count, math.fsum(p[1] for p in ring) / count
    radius = math.fsum(math.dist(p, (u, v)) for p in ring) / count
    side = 2 * radius * math.sin(math.pi / count)
    regular = all(
        abs(math.dist(p, (u, v)) - radius) <= _ROUNDED and abs(math.dist(p, q) - side) <= 2 * _ROUNDED
        for p, q in zip(ring, (*ring[1:], ring[0]), strict=True)
    )
    return circle(2 * radius * (math.cos(math.pi / count) if outside else 1.0), u, v) if regular else None


def _straight(ring: Ring) -> CurvedRing:
    twice = sum(ax * by - bx * ay for (ax, ay), (bx, by) in zip(ring, (*ring[1:], ring[0]), strict=True))
    return tuple((u, v, 0.0) for u, v in (ring if twice > 0 else reversed(ring)))


def _solid(rings: tuple[CurvedRing, ...], prism: Prism) -> CurvedSolid:
    return CurvedSolid(rings, prism.start, prism.end, prism.frame, prism.cuts)


def _same_rings(first: Sequence[Ring], second: Sequence[Ring]) -> bool:
    return len(first) == len(second) and all(
        len(a) == len(b) and all(math.dist(p, q) <= _SAME for p, q in zip(a, b, strict=True))
        for a, b in zip(first, second, strict=True)
    )
