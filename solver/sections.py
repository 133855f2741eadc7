"""Profile shapes as outlines, named faces and section properties.

Every section lives in its own (u, v) plane and is extruded along w. Corner radii of cold-formed hollow sections
follow EN 10219-2: outside 2.0, 2.5 or 3.0 x wall for wall <= 6, <= 10, > 10 mm; inside = outside - wall.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cached_property
from typing import Literal

from inventory import limits
from inventory.errors import Fault, refuse
from inventory.outlines import face_faults
from inventory.shapes import Point2

Shape = Literal["square_tube", "rect_tube", "round_tube", "angle", "channel", "flat_bar", "round_bar", "plate"]
SHAPES: tuple[Shape, ...] = (
    "square_tube", "rect_tube", "round_tube", "angle", "channel", "flat_bar", "round_bar", "plate",
)  # fmt: skip
CIRCLE_SIDES = 48
CORNER_STEPS = 8
FINE_STEPS = 256
SHARP = 0.01
"""A corner radius below this, mm, is drawn sharp."""
LEAST_OPENING = 0.1
"""What a wall, leg or web leaves open is at least this, mm."""
Ring = tuple[Point2, ...]
SIZES: dict[Shape, tuple[str, ...]] = {
    "square_tube": ("width", "wall"),
    "rect_tube": ("width", "height", "wall"),
    "round_tube": ("diameter", "wall"),
    "angle": ("leg_a", "leg_b", "thickness"),
    "channel": ("height", "flange", "web", "flange_thickness"),
    "flat_bar": ("width", "thickness"),
    "round_bar": ("diameter",),
    "plate": (),
}
"""The sizes each shape needs; a plate has an outline instead, and its thickness is the part's length."""
TUBES: tuple[Shape, ...] = ("square_tube", "rect_tube")


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


@dataclass(frozen=True)
class Section:
    """One profile shape with its sizes in mm; sizes a shape does not have are None.

    square_tube(width, wall), rect_tube(width along u, height along v, wall), round_tube(diameter, wall),
    angle(leg_a along +u, leg_b along +v, thickness; origin at the heel), channel(height along v, flange along +u, web,
    flange_thickness; origin at mid-height on the web's back), flat_bar(width along u, thickness along v),
    round_bar(diameter), plate(outline, cutouts; its thickness is the part's length).

    Raises InvalidDocument with every fault, at pointers by the documents' field names.
    """

    shape: Shape
    width: float | None = None
    height: float | None = None
    wall: float | None = None
    diameter: float | None = None
    leg_a: float | None = None
    leg_b: float | None = None
    thickness: float | None = None
    flange: float | None = None
    web: float | None = None
    flange_thickness: float | None = None
    corner_radius: float | None = None
    plate_outline: Ring = ()
    plate_cutouts: tuple[Ring, ...] = ()

    def __post_init__(self) -> None:
        refuse(_section_faults(self))

    @property
    def round(self) -> bool:
        """Whether the section can spin about its own axis."""
        return self.shape in ("round_tube", "round_bar")

    @property
    def box(self) -> tuple[float, float]:
        """Outside width and height of a four-sided section, mm."""
        if self.shape == "square_tube":
            return _of(self.width), _of(self.width)
        if self.shape == "rect_tube":
            return _of(self.width), _of(self.height)
        return _of(self.width), _of(self.thickness)

    @property
    def outside_radius(self) -> float:
        """Outside corner radius of a tube, mm; 0 for every other shape."""
        if self.shape not in ("square_tube", "rect_tube"):
            return 0.0
        return cold_formed_radius(_of(self.wall)) if self.corner_radius is None else self.corner_radius

    @cached_property
    def outline(self) -> Ring:
        """Outer outline, counter-clockwise (a plate's own winding is kept); round shapes circumscribe their circle."""
        return self._outer(CORNER_STEPS, CIRCLE_SIDES)

    @cached_property
    def hull_outline(self) -> Ring:
        """An outline around the outer one with few corners, at most 4 % of the corner radius outside it.

        For asking whether something comes near; tubes' corners are taken with three corners each instead of an arc.
        """
        radius = self.outside_radius
        if radius <= 0:
            return self.outline
        u, v = self.box[0] / 2 - radius, self.box[1] / 2 - radius
        reach = radius / math.cos(math.radians(15))
        turns = ((1, 1), (-1, 1), (-1, -1), (1, -1))
        return tuple(
            (u * su + reach * math.cos(angle), v * sv + reach * math.sin(angle))
            for k, (su, sv) in enumerate(turns)
            for angle in (math.radians(90 * k + 15 + 30 * step) for step in range(3))
        )

    @cached_property
    def cutouts(self) -> tuple[Ring, ...]:
        """Cut-outs; round ones inscribe their circle."""
        return self._inner(CORNER_STEPS, CIRCLE_SIDES)

    @cached_property
    def edges(self) -> tuple[Edge, ...]:
        """Flat sides by face label, numbered as documents number them; empty for round shapes.

        Sides of tubes end where the corner radius begins.
        """
        if self.round:
            return ()
        if self.shape in ("square_tube", "rect_tube", "flat_bar"):
            half_u, half_v = self.box[0] / 2, self.box[1] / 2
            u, v = half_u - self.outside_radius, half_v - self.outside_radius
            corners = (
                ((half_u, -v), (half_u, v)),
                ((u, half_v), (-u, half_v)),
                ((-half_u, v), (-half_u, -v)),
                ((-u, -half_v), (u, -half_v)),
            )
            normals = ((1.0, 0.0), (0.0, 1.0), (-1.0, 0.0), (0.0, -1.0))
            sides = enumerate(zip(corners, normals, strict=True))
            # A tube rounded all the way has no flat on that side, hence no face.
            return tuple(Edge(f"side:{k}", a, b, n) for k, ((a, b), n) in sides if math.dist(a, b) >= limits.SPACING)
        edges = list(_ring_edges("side", self.outline, outward=True))
        for index, ring in enumerate(self.cutouts):
            edges += _ring_edges(f"cutout:{index}", ring, outward=False)
        return tuple(edges)

    @cached_property
    def properties(self) -> SectionProperties:
        """Area, centroid and second moments, with true arcs (to 1e-4)."""
        return _properties(self._outer(FINE_STEPS, 8 * FINE_STEPS), self._inner(FINE_STEPS, 8 * FINE_STEPS))

    def _outer(self, corner_steps: int, circle_sides: int) -> Ring:
        if self.round:
            return _circle(_of(self.diameter), circle_sides, circumscribe=True)
        if self.shape == "plate":
            return self.plate_outline
        if self.shape == "angle":
            a, b, t = _of(self.leg_a), _of(self.leg_b), _of(self.thickness)
            return ((0.0, 0.0), (a, 0.0), (a, t), (t, t), (t, b), (0.0, b))
        if self.shape == "channel":
            h, f, w, t = _of(self.height) / 2, _of(self.flange), _of(self.web), _of(self.flange_thickness)
            return ((0.0, -h), (f, -h), (f, t - h), (w, t - h), (w, h - t), (f, h - t), (f, h), (0.0, h))
        return _rounded(self.box[0], self.box[1], self.outside_radius, corner_steps)

    def _inner(self, corner_steps: int, circle_sides: int) -> tuple[Ring, ...]:
        if self.shape == "plate":
            return self.plate_cutouts
        if self.shape == "round_tube":
            return (_circle(_of(self.diameter) - 2 * _of(self.wall), circle_sides, circumscribe=False),)
        if self.shape in ("square_tube", "rect_tube"):
            wall, radius = _of(self.wall), max(0.0, self.outside_radius - _of(self.wall))
            return (_rounded(self.box[0] - 2 * wall, self.box[1] - 2 * wall, radius, corner_steps),)
        return ()


def cold_formed_radius(wall: float) -> float:
    """Return the outside corner radius of a cold-formed hollow section of this wall, mm (EN 10219-2, for properties)."""
    return wall * (2.0 if wall <= 6 else 2.5 if wall <= 10 else 3.0)


def _section_faults(section: Section) -> Iterator[Fault]:
    shape = list(limits.one_of_faults("/shape", section.shape, SHAPES))
    yield from shape
    if shape:
        return
    needed = SIZES[section.shape]
    sizes: list[Fault] = []
    for field in _ALL_SIZES:
        value = getattr(section, field)
        if value is None and field in needed:
            sizes.append(Fault(f"/{field}", f"a {section.shape} needs its {field}", limits.SIZE.accepted))
        elif value is not None and field not in needed:
            sizes.append(Fault(f"/{field}", f"a {section.shape} has no {field}", "its own sizes: " + ", ".join(needed)))
        elif value is not None:
            sizes += limits.SIZE.faults(f"/{field}", value)
    if section.corner_radius is not None and section.shape not in TUBES:
        sizes.append(
            Fault("/corner_radius", f"a {section.shape} has no corner_radius", "a corner_radius on " + " or ".join(TUBES))
        )
    elif section.corner_radius is not None:
        sizes += limits.LENGTH.faults("/corner_radius", section.corner_radius)
    yield from sizes
    if section.shape == "plate":
        yield from face_faults("/outline", "/cutouts", section.plate_outline, section.plate_cutouts)
    elif section.plate_outline or section.plate_cutouts:
        yield Fault("/outline", f"a {section.shape} has no outline", "an outline on a plate")
    if not sizes:
        yield from _proportion_faults(section)


_ALL_SIZES = tuple(dict.fromkeys(field for fields in SIZES.values() for field in fields))


def _proportion_faults(section: Section) -> Iterator[Fault]:
    """Yield sizes that are sound by themselves and absurd together."""
    if section.shape == "round_tube":
        yield from _less("/wall", "wall", section.wall, _of(section.diameter) / 2, "half the diameter")
    elif section.shape in TUBES:
        half = min(section.box) / 2
        walls = list(_less("/wall", "wall", section.wall, half, "half the least side"))
        yield from walls
        if not walls and section.outside_radius > half:
            by_rule = "" if section.corner_radius is not None else ", by EN 10219-2 from the wall,"
            wrong = f"the outside radius {limits.plain(section.outside_radius)} mm{by_rule} is more than half the least side"
            yield Fault("/corner_radius", wrong, f"a corner_radius of 0 (sharp) to {limits.plain(half)} mm")
    elif section.shape == "angle":
        least = min(_of(section.leg_a), _of(section.leg_b))
        yield from _less("/thickness", "thickness", section.thickness, least, "the shorter leg")
    elif section.shape == "channel":
        yield from _less("/web", "web", section.web, _of(section.flange), "the flange")
        yield from _less("/flange_thickness", "flange", section.flange_thickness, _of(section.height) / 2, "half the height")


def _less(pointer: str, what: str, size: float | None, limit: float, of: str) -> Iterator[Fault]:
    if _of(size) > limit - LEAST_OPENING / 2:
        wrong = f"a {what} of {limits.plain(_of(size))} mm leaves nothing of {of}, {limits.plain(limit)} mm"
        yield Fault(pointer, wrong, f"less than {limits.plain(limit)} mm")


def _of(size: float | None) -> float:
    if size is None:
        raise ValueError("the section lacks a size its shape needs")
    return size


def _circle(diameter: float, sides: int, *, circumscribe: bool) -> Ring:
    """Return a regular polygon with flats square to the axes, around or inside the circle."""
    radius = diameter / 2 / (math.cos(math.pi / sides) if circumscribe else 1.0)
    angles = ((k + 0.5) * 2 * math.pi / sides for k in range(sides))
    return tuple((radius * math.cos(angle), radius * math.sin(angle)) for angle in angles)


def _rounded(width: float, height: float, radius: float, steps: int) -> Ring:
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


def _ring_edges(prefix: str, ring: Ring, *, outward: bool) -> list[Edge]:
    sense = 1.0 if (signed_area(ring) > 0) == outward else -1.0
    edges = []
    for k, (a, b) in enumerate(zip(ring, (*ring[1:], ring[0]), strict=True)):
        length = math.dist(a, b)
        normal = (sense * (b[1] - a[1]) / length, -sense * (b[0] - a[0]) / length)
        edges.append(Edge(f"{prefix}:{k}", a, b, normal))
    return edges


def _properties(outer: Ring, inner: tuple[Ring, ...]) -> SectionProperties:
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
