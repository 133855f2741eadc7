"""A section: one profile shape with its sizes, in its own (u, v) plane, extruded along w."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cached_property

from inventory import limits
from inventory.errors import Fault, refuse
from inventory.outlines import face_faults
from solver.sections.profiles import FINE, PROFILES, USUAL, Fineness, Profile, Sizes, outside_radius
from solver.sections.rings import Edge, Ring, SectionProperties, deepest_dent, properties, ring_edges

_ALL_SIZES = tuple(dict.fromkeys(field for profile in PROFILES.values() for field in profile.sizes))
DENT = 1e-3
"""A corner of a body's outline may lie this far inside of its neighbours, mm: what rounding does to a hull."""
ROUNDED = tuple(name for name, profile in PROFILES.items() if profile.rounded)


@dataclass(frozen=True)
class Section:
    """One profile shape with its sizes in mm; sizes a shape does not have are None.

    square_tube(width, wall), rect_tube(width along u, height along v, wall), round_tube(diameter, wall),
    angle(leg_a along +u, leg_b along +v, thickness; origin at the heel), channel(height along v, flange along +u, web,
    flange_thickness; origin at mid-height on the web's back), flat_bar(width along u, thickness along v),
    round_bar(diameter), plate(outline, cutouts; its thickness is the part's length), body(outline, convex).
    `plate_outline` and `plate_cutouts` are what is drawn by hand: a plate's, and a body's outline.

    Raises InvalidDocument with every fault, at pointers by the documents' field names.
    """

    shape: str
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
    def profile(self) -> Profile:
        """What is known of its shape."""
        return PROFILES[self.shape]

    @property
    def round(self) -> bool:
        """Whether the section can spin about its own axis."""
        return self.profile.round

    @property
    def body(self) -> bool:
        """Whether it is the convex outer body around a part that is no profile, for clearance only."""
        return self.profile.body

    @property
    def hollow(self) -> bool:
        """Whether the section is closed around a hollow, as tubes are."""
        return self.profile.hollow

    @cached_property
    def sizes(self) -> Sizes:
        """The sizes it was given, mm, by field name."""
        given = {field: getattr(self, field) for field in (*_ALL_SIZES, "corner_radius")}
        return {field: value for field, value in given.items() if value is not None}

    @property
    def thinnest(self) -> float:
        """The thickness that a weld meets, mm: a tube's wall, a profile's thinnest leg, a bar's size; not of a plate."""
        return min(self.sizes[field] for field in self.profile.thinnest)

    @property
    def box(self) -> tuple[float, float] | None:
        """Outside width and height of a four-sided section, mm; None for every other shape."""
        return self.profile.box(self.sizes)

    @property
    def outside_radius(self) -> float:
        """Outside corner radius of a tube, mm; 0 for every other shape."""
        return outside_radius(self.sizes) if self.profile.rounded else 0.0

    @cached_property
    def outline(self) -> Ring:
        """Outer outline, counter-clockwise (a plate's own winding is kept); round shapes circumscribe their circle."""
        return self._outer(USUAL)

    @cached_property
    def hull_outline(self) -> Ring:
        """An outline around the outer one with few corners, at most 4 % of the corner radius outside it.

        For asking whether something comes near; tubes' corners are taken with three corners each instead of an arc.
        """
        radius, box = self.outside_radius, self.box
        if radius <= 0 or box is None:
            return self.outline
        u, v = box[0] / 2 - radius, box[1] / 2 - radius
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
        return self._inner(USUAL)

    @cached_property
    def edges(self) -> tuple[Edge, ...]:
        """Flat sides by face label, numbered as documents number them; empty for round shapes and bodies.

        Sides of tubes end where the corner radius begins.
        """
        if self.round or self.body:
            return ()
        if self.box is not None:
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
        edges = list(ring_edges("side", self.outline, outward=True))
        for index, ring in enumerate(self.cutouts):
            edges += ring_edges(f"cutout:{index}", ring, outward=False)
        return tuple(edges)

    @cached_property
    def properties(self) -> SectionProperties:
        """Area, centroid and second moments, with true arcs (to 1e-4)."""
        outer, *inner = self.true_rings
        return properties(outer, tuple(inner))

    @property
    def true_rings(self) -> tuple[Ring, ...]:
        """Outer outline, then cut-outs, with arcs so fine that areas are true to 1e-4."""
        return self._outer(FINE), *self._inner(FINE)

    def _outer(self, fineness: Fineness) -> Ring:
        draw = self.profile.outer
        return self.plate_outline if draw is None else draw(self.sizes, fineness)

    def _inner(self, fineness: Fineness) -> tuple[Ring, ...]:
        profile = self.profile
        return self.plate_cutouts if profile.outer is None else profile.cutouts(self.sizes, fineness)


def _section_faults(section: Section) -> Iterator[Fault]:
    shape = list(limits.one_of_faults("/shape", section.shape, tuple(PROFILES)))
    yield from shape
    if shape:
        return
    profile = section.profile
    sizes: list[Fault] = []
    for field in _ALL_SIZES:
        value = getattr(section, field)
        if value is None and field in profile.sizes:
            sizes.append(Fault(f"/{field}", f"a {section.shape} needs its {field}", limits.SIZE.accepted))
        elif value is not None and field not in profile.sizes:
            sizes.append(Fault(f"/{field}", f"a {section.shape} has no {field}", "its own sizes: " + ", ".join(profile.sizes)))
        elif value is not None:
            sizes += limits.SIZE.faults(f"/{field}", value)
    if section.corner_radius is not None and not profile.rounded:
        sizes.append(
            Fault("/corner_radius", f"a {section.shape} has no corner_radius", "a corner_radius on " + " or ".join(ROUNDED))
        )
    elif section.corner_radius is not None:
        sizes += limits.LENGTH.faults("/corner_radius", section.corner_radius)
    yield from sizes
    if profile.outer is None:
        drawn = face_faults("/outline", "/cutouts", section.plate_outline, section.plate_cutouts)
        yield from drawn
        if profile.body and not drawn:
            yield from _hull_faults(section)
    elif section.plate_outline or section.plate_cutouts:
        yield Fault("/outline", f"a {section.shape} has no outline", "an outline on a plate or a body")
    if not sizes:
        yield from profile.faults(section.sizes)


def _hull_faults(section: Section) -> Iterator[Fault]:
    """Yield what keeps an outline that is simple from being that of a convex body."""
    if section.plate_cutouts:
        yield Fault("/cutouts", "a body has no cutouts", "its outer outline alone")
    depth, corner = deepest_dent(section.plate_outline)
    if depth > DENT:
        wrong = f"the outline is not convex: corner {corner} lies {limits.plain(round(depth, 3))} mm inside"
        yield Fault("/outline", wrong, "the convex outline around the part's outer body")
