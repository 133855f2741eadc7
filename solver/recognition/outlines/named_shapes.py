"""Sections that have a name: which one an outline is, with its sizes, and where its origin and its u direction are.

Every rule is exact: what is 0.01 mm off another shape is drawn as the outline it has.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from itertools import pairwise

from inventory.shapes import Point2
from solver.recognition.outlines.facets import smoothed
from solver.recognition.outlines.sides import RoundSide, Sides, StraightSide, enclosed
from solver.recognition.tolerances import PARALLEL, SAME
from solver.sections import cold_formed_radius

SQUARE = 2 * PARALLEL
"""Sine of the largest angle by which a corner may miss the right one."""


@dataclass(frozen=True)
class NamedShape:
    """A section by its name.

    Parameters
    ----------
    shape : str
        As documents name it; ``flat_bar`` stands for any full rectangle.
    sizes : dict
        Millimetres by the fields' names; `width` is the size along `across`.
    origin : point
        Where its origin is in the plane of the outline.
    across : direction
        Its u direction there, unit.
    thickest : float
        The thickness of its metal, mm: a wall, a leg; what is shorter than that along its axis is a plate.
    turns : bool
        Whether u may as well run the other three ways.
    fillets : tuple of float
        Radii of roundings that the shape does not have, mm.
    inside : float or None
        The inside corner radius of a tube that has another than its outside radius less its wall, mm.
    faceted : bool
        Whether round sides of it are drawn as facets.
    """

    shape: str
    sizes: dict[str, float]
    origin: Point2
    across: Point2
    thickest: float
    turns: bool = False
    fillets: tuple[float, ...] = ()
    inside: float | None = None
    faceted: bool = False


@dataclass(frozen=True)
class _Rectangle:
    centre: Point2
    across: Point2
    width: float
    height: float
    radius: float = field(default=0.0)


def named_shape(outer: Sides, holes: Sequence[Sides]) -> NamedShape | None:
    """Return the shape of a section by its outlines, None if it has no name."""
    if len(holes) > 1:
        return None
    hole = smoothed(holes[0]) if holes else None
    outline = smoothed(outer)
    found = _rounds(outline, hole) or _rectangles(outline, hole) or (None if hole else _angle(outline) or _channel(outline))
    smooth = outline == outer and (hole is None or hole == holes[0])
    return found if found is None or smooth else replace(found, faceted=True)


def _rounds(outer: Sides, hole: Sides | None) -> NamedShape | None:
    circle = outer[0]
    if not (len(outer) == 1 and isinstance(circle, RoundSide)):
        return None
    diameter = 2 * circle.radius
    if hole is None:
        return NamedShape("round_bar", {"diameter": diameter}, circle.centre, (1.0, 0.0), circle.radius, turns=True)
    bore = hole[0]
    if not (len(hole) == 1 and isinstance(bore, RoundSide)) or math.dist(bore.centre, circle.centre) > SAME:
        return None
    wall = circle.radius - bore.radius
    return NamedShape("round_tube", {"diameter": diameter, "wall": wall}, circle.centre, (1.0, 0.0), wall, turns=True)


def _rectangles(outer: Sides, hole: Sides | None) -> NamedShape | None:
    box = _rectangle(outer)
    if box is None:
        return None
    if hole is None:
        if box.radius:
            return None
        sizes = {"width": box.width, "thickness": box.height}
        return NamedShape("flat_bar", sizes, box.centre, box.across, min(box.width, box.height), turns=True)
    inner = _rectangle(hole)
    if inner is None or math.dist(inner.centre, box.centre) > SAME:
        return None
    width, height = inner.width, inner.height
    if abs(box.across[0] * inner.across[0] + box.across[1] * inner.across[1]) < 0.5:
        width, height = height, width
    wall = (box.width - width) / 2
    if abs((box.height - height) / 2 - wall) > SAME:
        return None
    square = abs(box.width - box.height) <= SAME
    sizes = {"width": box.width, "wall": wall} if square else {"width": box.width, "height": box.height, "wall": wall}
    if abs(box.radius - cold_formed_radius(wall)) > SAME:
        sizes["corner_radius"] = box.radius
    usual = max(0.0, box.radius - wall)
    inside = None if abs(inner.radius - usual) <= SAME else inner.radius
    shape = "square_tube" if square else "rect_tube"
    return NamedShape(shape, sizes, box.centre, box.across, wall, turns=True, inside=inside)


def _rectangle(sides: Sides) -> _Rectangle | None:
    """Return the rectangle, sharp or with four equal round corners, that an outline is."""
    straight = [side for side in sides if isinstance(side, StraightSide)]
    bends = [side for side in sides if isinstance(side, RoundSide)]
    if len(straight) != 4 or len(bends) not in (0, 4):
        return None
    radius = bends[0].radius if bends else 0.0
    alternate = all(isinstance(a, RoundSide) != isinstance(b, RoundSide) for a, b in pairwise((*sides, sides[0])))
    square = all(abs(_cosine(a, b)) < SQUARE for a, b in pairwise((*straight, straight[0])))
    outward = enclosed(sides) > 0  # bends that turn the other way are notches, not roundings
    equal = all(
        abs(bend.radius - radius) <= SAME and abs(abs(bend.sweep) - math.pi / 2) < 1e-3 and bend.convex == outward
        for bend in bends
    )
    if not square or not equal or (bends and not alternate):
        return None
    lengths = [straight[k].length + 2 * radius for k in range(4)]
    across = straight[0].direction
    centre = _mean([side.a for side in straight] + [side.b for side in straight])
    for k, side in enumerate(straight):
        away = abs((side.a[0] - centre[0]) * side.direction[1] - (side.a[1] - centre[1]) * side.direction[0])
        if abs(2 * away - lengths[(k + 1) % 4]) > 2 * SAME:
            return None
    return _Rectangle(centre, across, (lengths[0] + lengths[2]) / 2, (lengths[1] + lengths[3]) / 2, radius)


def _cosine(one: StraightSide, other: StraightSide) -> float:
    return one.direction[0] * other.direction[0] + one.direction[1] * other.direction[1]


def _mean(points: Sequence[Point2]) -> Point2:
    return sum(u for u, _ in points) / len(points), sum(v for _, v in points) / len(points)


def _angle(sides: Sides) -> NamedShape | None:
    corners, radii = _sharp(sides, 6) or ((), ())
    for start in range(len(corners)):
        (a, b, t), (u, v), fits = _in_legs(corners, start)
        if not fits or any(radii[(start + k) % 6] for k in (0, 1, 5)):
            continue
        wanted = ((0.0, 0.0), (a, 0.0), (a, t), (t, t), (t, b), (0.0, b))
        if _matches(corners, start, (u, v), wanted):
            fillets = tuple(sorted({round(radii[(start + k) % 6], 3) for k in (2, 3, 4)} - {0.0}))
            return NamedShape("angle", {"leg_a": a, "leg_b": b, "thickness": t}, corners[start], (u, v), t, fillets=fillets)
    return None


def _in_legs(corners: Sequence[Point2], start: int) -> tuple[tuple[float, float, float], Point2, bool]:
    heel, toe, lip, tip = (corners[(start + k) % 6] for k in (0, 1, 2, 5))
    a, b, t = math.dist(heel, toe), math.dist(heel, tip), math.dist(toe, lip)
    across = (toe[0] - heel[0]) / a, (toe[1] - heel[1]) / a
    return (a, b, t), across, t < min(a, b) - SAME


def _channel(sides: Sides) -> NamedShape | None:
    corners, radii = _sharp(sides, 8) or ((), ())
    for start in range(len(corners)):
        low, out, lip, root = (corners[(start + k) % 8] for k in range(4))
        top = corners[(start + 7) % 8]
        h, f, t = math.dist(low, top), math.dist(low, out), math.dist(out, lip)
        across = (out[0] - low[0]) / f, (out[1] - low[1]) / f
        w = f - math.dist(lip, root)
        if w <= SAME or h <= 2 * t or any(radii[(start + k) % 8] for k in (0, 1, 6, 7)):
            continue
        wanted = ((0, 0), (f, 0), (f, t), (w, t), (w, h - t), (f, h - t), (f, h), (0, h))
        if _matches(corners, start, across, wanted):
            origin = (low[0] + top[0]) / 2, (low[1] + top[1]) / 2
            fillets = tuple(sorted({round(radii[(start + k) % 8], 3) for k in (2, 3, 4, 5)} - {0.0}))
            sizes = {"height": h, "flange": f, "web": w, "flange_thickness": t}
            return NamedShape("channel", sizes, origin, across, max(w, t), fillets=fillets)
    return None


def _matches(corners: Sequence[Point2], start: int, across: Point2, wanted: Sequence[tuple[float, float]]) -> bool:
    """Whether corners are where they should be, seen from the one at `start`, u running `across`."""
    u0, v0 = corners[start]
    for k, (u, v) in enumerate(wanted):
        x, y = corners[(start + k) % len(corners)]
        at = (x - u0) * across[0] + (y - v0) * across[1], (y - v0) * across[0] - (x - u0) * across[1]
        if math.dist(at, (u, v)) > SAME:
            return False
    return True


def _sharp(sides: Sides, count: int) -> tuple[list[Point2], list[float]] | None:
    """Return the corners of an outline as if it had no roundings, and the radius of the rounding at each."""
    straight = [k for k, side in enumerate(sides) if isinstance(side, StraightSide)]
    if len(straight) != count:
        return None
    corners, radii = [], []
    for position, k in enumerate(straight):
        before = straight[position - 1]
        between = sides[before + 1 : k] if before < k else (*sides[before + 1 :], *sides[:k])
        one, other = sides[before], sides[k]
        assert isinstance(one, StraightSide) and isinstance(other, StraightSide)
        if len(between) > 1:
            return None
        rounding = between[0] if between else None
        if isinstance(rounding, RoundSide) and not (_tangent(one, rounding) and _tangent(other, rounding)):
            return None
        met = _met(one, other)
        if met is None:
            return None
        corners.append(met)
        radii.append(rounding.radius if isinstance(rounding, RoundSide) else 0.0)
    return corners, radii


def _tangent(side: StraightSide, bend: RoundSide) -> bool:
    (u, v), (x, y) = side.direction, bend.centre
    away = (x - side.a[0]) * v - (y - side.a[1]) * u
    return abs(abs(away) - bend.radius) <= SAME and abs(bend.sweep) < math.pi


def _met(one: StraightSide, other: StraightSide) -> Point2 | None:
    """Return where the lines of two sides meet; None if they are parallel."""
    (a, b), (c, d) = one.direction, other.direction
    cross = a * d - b * c
    if abs(cross) < 1e-6:
        return None
    share = ((other.a[0] - one.a[0]) * d - (other.a[1] - one.a[1]) * c) / cross
    return one.a[0] + share * a, one.a[1] + share * b
