"""Sections on the wire: one model a profile shape, told apart by `shape`."""

from __future__ import annotations

from typing import Annotated, Any, Literal

from pydantic import Field

from inventory import limits
from service.documents.reading.fields import Length, Ring, Size, UpTo, ValueDocument, ring
from solver.sections import Section

Radius = Annotated[
    Annotated[float, Length(limits.LENGTH)] | None,
    Field(
        description="outside corner radius, 0 = sharp; by default EN 10219-2: 2.0, 2.5, 3.0 x wall for wall <= 6, <= 10, > 10 mm"
    ),
]
Wall = Annotated[Size, Field(description="wall thickness, less than half the least side")]


class ProfileDocument(ValueDocument[Section]):
    """Base of all shapes but the plate: sizes by name."""

    def _built(self) -> Section:
        return Section(**self.model_dump())


class SquareTube(ProfileDocument):
    """Square hollow section, origin at the centre."""

    shape: Literal["square_tube"]
    width: Annotated[Size, Field(description="outside width")]
    wall: Wall
    corner_radius: Radius = None


class RectTube(ProfileDocument):
    """Rectangular hollow section, origin at the centre."""

    shape: Literal["rect_tube"]
    width: Annotated[Size, Field(description="outside width, along u")]
    height: Annotated[Size, Field(description="outside height, along v")]
    wall: Wall
    corner_radius: Radius = None


class RoundTube(ProfileDocument):
    """Round hollow section, origin at the centre."""

    shape: Literal["round_tube"]
    diameter: Annotated[Size, Field(description="outside diameter")]
    wall: Annotated[Size, Field(description="wall thickness, less than half the diameter")]


class Angle(ProfileDocument):
    """Angle, origin at the heel."""

    shape: Literal["angle"]
    leg_a: Annotated[Size, Field(description="leg along +u")]
    leg_b: Annotated[Size, Field(description="leg along +v")]
    thickness: Annotated[Size, Field(description="thickness of both legs, less than the shorter leg")]


class Channel(ProfileDocument):
    """Channel, origin at mid-height on the web's back."""

    shape: Literal["channel"]
    height: Annotated[Size, Field(description="height along v")]
    flange: Annotated[Size, Field(description="flange width along +u, web included")]
    web: Annotated[Size, Field(description="thickness of the web, less than the flange")]
    flange_thickness: Annotated[Size, Field(description="thickness of the flanges, less than half the height")]


class FlatBar(ProfileDocument):
    """Flat bar, origin at the centre."""

    shape: Literal["flat_bar"]
    width: Annotated[Size, Field(description="width along u")]
    thickness: Annotated[Size, Field(description="thickness along v")]


class RoundBar(ProfileDocument):
    """Round bar, origin at the centre."""

    shape: Literal["round_bar"]
    diameter: Annotated[Size, Field(description="diameter")]


class Plate(ProfileDocument):
    """Plate of any outline, extruded by its thickness; the outline's own origin."""

    shape: Literal["plate"]
    outline: Annotated[Ring, Field(description="simple polygon of 3 to 1,000 vertices, either winding, not closed by repetition")]
    cutouts: Annotated[
        list[Ring],
        UpTo(limits.CUTOUTS),
        Field(default_factory=list, description="outlines strictly inside, apart from each other"),
    ]
    thickness: Annotated[Size, Field(description="thickness, along the part's own `along`")]

    def _built(self) -> Section:
        return Section("plate", plate_outline=ring(self.outline), plate_cutouts=tuple(ring(cutout) for cutout in self.cutouts))


class OuterBody(ProfileDocument):
    """Convex outer body of a part that is no profile, for clearance only; the outline's own origin."""

    shape: Literal["body"]
    outline: Annotated[Ring, Field(description="convex polygon of 3 to 1,000 vertices, either winding, not closed by repetition")]

    def _built(self) -> Section:
        return Section("body", plate_outline=ring(self.outline))


SectionDocument = Annotated[
    SquareTube | RectTube | RoundTube | Angle | Channel | FlatBar | RoundBar | Plate | OuterBody, Field(discriminator="shape")
]


def section_document(section: Section, thickness: float) -> dict[str, Any]:
    """Return a section as plain JSON values; a plate takes its thickness from its part."""
    document: dict[str, Any] = {"shape": section.shape} | {field: getattr(section, field) for field in section.profile.sizes}
    if section.corner_radius is not None:
        document["corner_radius"] = section.corner_radius
    if section.shape in ("plate", "body"):
        document["outline"] = [list(point) for point in section.plate_outline]
    if section.shape == "plate":
        document["cutouts"] = [[list(point) for point in cutout] for cutout in section.plate_cutouts]
        document["thickness"] = thickness
    return document
