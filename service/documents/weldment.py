"""The weldment document: parts, welds, tolerances, open dimensions."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Sequence
from dataclasses import asdict, replace
from typing import Annotated, Any, Literal

from pydantic import ConfigDict, Discriminator, Field, Tag

from inventory import limits
from inventory.errors import Fault, InvalidDocument, refuse
from inventory.limits import repeated_faults, shown
from service.documents.prisms import CutDocument, cuts_document
from service.documents.reading.fields import (
    Coordinate,
    Direction3,
    Exactly,
    Id,
    Length,
    Measured,
    Name,
    Point3,
    Size,
    UpTo,
    ValueDocument,
    lengths_in,
    triple,
)
from service.documents.reading.reading import Reading
from service.documents.sections import Plate, SectionDocument, section_document
from service.documents.stored_weldments.stored_version import StoredVersionDocument, WeldmentNameDocument, is_name
from solver.laying import fit
from solver.rule_book import VALUES
from solver.standards.iso13920 import LinearClass, linear_mm
from solver.weldment import (
    InFixture,
    Material,
    OpenDimension,
    Part,
    Pose,
    Tolerance,
    Weld,
    WeldKind,
    Weldment,
    body_faults,
    counts_faults,
    naming_faults,
)

FORMAT = "holdwright.weldment/1"
EXAMPLE: dict[str, Any] = {
    "format": FORMAT, "name": "hinge post", "units": "mm",
    "parts": [
        {"id": "post", "material": "steel", "section": {"shape": "square_tube", "width": 60, "wall": 4}, "length": 500,
         "pose": {"at": [0, 0, 30], "along": [1, 0, 0], "up": [0, 0, 1]}},
        {"id": "tab", "material": "steel",
         "section": {"shape": "plate", "outline": [[0, 0], [80, 0], [80, 50], [0, 50]], "thickness": 8},
         "pose": {"at": [200, -25, 60], "along": [0, 0, 1], "up": [0, 1, 0]}},
    ],
    "welds": [
        {"id": "w1", "parts": ["post", "tab"], "path": [[200, -22, 60], [200, 22, 60]], "kind": "fillet", "leg": 4},
    ],
    "tolerances": [{"part": "tab", "point": [200, -25, 60], "direction": [1, 0, 0], "plus_minus": 0.8, "relative_to": "post"}],
    "open_dimensions": [],
}  # fmt: skip
Bead = Annotated[float, Length(limits.BEAD)]


class PoseDocument(ValueDocument[Pose]):
    """Where a part sits in the weldment frame; u = v x w."""

    at: Annotated[Point3, Field(description="where the section's origin sits")]
    along: Annotated[Direction3, Field(description="the way the section is extruded, local w")]
    up: Annotated[Direction3, Field(description="the way local v points; made square to `along`")]

    def _built(self) -> Pose:
        return Pose(triple(self.at), triple(self.along), triple(self.up))


class PartDocument(ValueDocument[Part]):
    """One part: a section extruded along its pose."""

    id: Annotated[Id, Field(description="the part's own id, 1 to 64 characters, not `table`")]
    name: Annotated[Name, Field(description="what people call it")] = ""
    material: Annotated[Material, Field(description="what it is made of")] = "steel"
    section: Annotated[SectionDocument, Field(description="profile shape and sizes")]
    length: Annotated[
        Size | None, Field(description="length of the extrusion; required but for a plate, which has a thickness")
    ] = None
    pose: Annotated[PoseDocument, Field(description="where it sits")]
    cuts: Annotated[
        list[CutDocument],
        UpTo(limits.CUTS),
        Field(default_factory=list, description="mitred and sloped ends; length is the uncut length, one piece is left"),
    ]

    def _built(self) -> Part:
        shape, length = self.section.shape, self.length
        if isinstance(self.section, Plate):
            if length is not None:
                refuse([Fault("/length", "a plate has no length", "its thickness, in the section")])
            length = self.section.thickness
        if length is None:
            raise InvalidDocument([Fault("/length", "length is missing", f"the length of the {shape}, {limits.SIZE.accepted}")])
        cuts = tuple(cut.to_domain() for cut in self.cuts)
        return Part(self.id, self.section.to_domain(), length, self.pose.to_domain(), self.material, self.name, cuts)


class WeldDocument(ValueDocument[Weld]):
    """One bead between two parts, along a polyline that lies on both."""

    id: Annotated[Id, Field(description="the weld's own id, 1 to 64 characters")]
    parts: Annotated[list[Id], Exactly(2, "part ids"), Field(description="the two parts it joins")]
    path: Annotated[list[Point3], Field(description="polyline of 2 to 1,000 points, closed if the first equals the last")]
    kind: Annotated[WeldKind, Field(description="sort of joint")]
    leg: Annotated[Bead | None, Field(description="leg of a fillet or lap weld")] = None
    throat: Annotated[Bead | None, Field(description="throat, instead of a leg")] = None
    in_fixture: Annotated[InFixture, Field(description="how much of it is welded in the fixture")] = "full"
    process: Annotated[Name, Field(description="welding process, such as 135")] = ""
    side: Annotated[Direction3 | None, Field(description="the side the bead lies on, if both are open")] = None

    def _built(self) -> Weld:
        path = tuple(triple(point) for point in self.path)
        side = None if self.side is None else triple(self.side)
        joined = (self.parts[0], self.parts[1])
        return Weld(self.id, joined, path, self.kind, self.leg, self.throat, self.in_fixture, self.process, side)


class ToleranceDocument(ValueDocument[Tolerance]):
    """How far locating alone may move a point of a part: by number, or by the class and length of a general tolerance."""

    part: Annotated[Id, Field(description="id of the part")]
    point: Annotated[Point3, Field(description="the point, weldment frame")]
    direction: Annotated[Direction3, Field(description="the direction that counts")]
    plus_minus: Annotated[
        Annotated[float, Length(limits.TOLERANCE)] | None, Field(description="how far it may move, either way")
    ] = None
    iso13920: Annotated[
        LinearClass | None, Field(description="class of ISO 13920 for linear dimensions, instead of plus_minus; needs length")
    ] = None
    length: Annotated[Size | None, Field(description="the dimension that the class of ISO 13920 is taken for")] = None
    relative_to: Annotated[Id | None, Field(description="id of the part it is measured from; absent = absolute")] = None

    def _built(self) -> Tolerance:
        return Tolerance(self.part, triple(self.point), triple(self.direction), self._allowed(), self.relative_to)

    def _allowed(self) -> float:
        """Return the tolerance by number, mm: the one given, or that of the class and length."""
        one_of = f"plus_minus ({limits.TOLERANCE.accepted}), or iso13920 (A to D) with length"
        if self.iso13920 is None:
            if self.length is not None:
                refuse([Fault("/length", "a length without a class of ISO 13920", one_of)])
            if self.plus_minus is None:
                raise InvalidDocument([Fault("/plus_minus", "no tolerance is given", one_of)])
            return self.plus_minus
        if self.plus_minus is not None:
            refuse([Fault("/iso13920", "both plus_minus and iso13920 are given", "one of the two")])
        if self.length is None:
            raise InvalidDocument([Fault("/length", "length is missing", "the dimension the class is taken for, 2 mm or more")])
        return float(linear_mm(self.iso13920, self.length))


class OpenDimensionDocument(ValueDocument[OpenDimension]):
    """A dimension not known yet, which the hardware must be able to follow."""

    part: Annotated[Id, Field(description="id of the part")]
    direction: Annotated[Direction3, Field(description="the direction the dimension runs")]
    range: Annotated[list[Coordinate], Exactly(2, "numbers"), Field(description="least and greatest value about nominal")]

    def _built(self) -> OpenDimension:
        return OpenDimension(self.part, triple(self.direction), self.range[0], self.range[1])


class WeldmentDocument(Measured):
    """What must be held: parts, welds, tolerances, open dimensions."""

    model_config = ConfigDict(json_schema_extra={"examples": [EXAMPLE]})

    format: Annotated[Literal["holdwright.weldment/1"], Field(description=f'"{FORMAT}"')]
    name: Annotated[Name, Field(description="what people call it, up to 200 characters")] = ""
    parts: Annotated[list[PartDocument], UpTo(limits.PARTS, 1), Field(description="the parts, in no particular order")]
    welds: Annotated[
        list[WeldDocument],
        UpTo(limits.WELDS),
        Field(default_factory=list, description="the beads; two sides of a joint are two welds"),
    ]
    tolerances: Annotated[
        list[ToleranceDocument], UpTo(limits.TOLERANCES), Field(default_factory=list, description="what locating must keep")
    ]
    open_dimensions: Annotated[
        list[OpenDimensionDocument], UpTo(limits.TOLERANCES), Field(default_factory=list, description="dimensions not known yet")
    ]

    stored: Annotated[
        StoredVersionDocument | None,
        Field(description="the stored weldment it is, word for word; written when a request names one, compared if given"),
    ] = None

    def to_domain(self) -> Weldment:
        """Return the weldment as a value; raises InvalidDocument, also if it is not the stored weldment it says it is."""
        drawn = Weldment(
            tuple(part.to_domain() for part in self.parts),
            tuple(weld.to_domain() for weld in self.welds),
            self.name,
            tuple(tolerance.to_domain() for tolerance in self.tolerances),
            tuple(entry.to_domain() for entry in self.open_dimensions),
            self._given_in,
        )
        if self.stored is None:
            return drawn
        named, says = self.stored.to_domain(), weldment_fingerprint(drawn)
        if named.fingerprint != says:
            wrong = f"this is not what version {named.version} of weldment {shown(named.id)} says"
            raise InvalidDocument([Fault("/stored", wrong, "the weldment word for word as it is stored, or no `stored`")])
        return replace(drawn, stored=named)


def _named(value: Any) -> str:
    return "named-weldment" if is_name(value) or isinstance(value, WeldmentNameDocument) else "whole-weldment"


NamedOrWhole = Annotated[
    Annotated[WeldmentNameDocument, Tag("named-weldment")] | Annotated[WeldmentDocument, Tag("whole-weldment")],
    Discriminator(_named),
]
"""What may stand in a weldment's place."""


def read_weldment(raw: bytes | str | dict[str, Any]) -> Weldment:
    """Read a weldment document; raises InvalidDocument with every fault, overlapping parts and stray welds among them."""
    reading = Reading(raw, WeldmentDocument)
    examine(reading, "", VALUES["fit.overlap"].default)
    reading.finish()
    assert reading.document is not None
    return reading.document.to_domain()


def examine(reading: Reading[Any], at: str, overlap: float) -> None:
    """Check what the parts and welds of a weldment that are sound by themselves are together.

    Parameters
    ----------
    reading : Reading
        The document the weldment stands in.
    at : str
        JSON pointer to the weldment.
    overlap : float
        How far parts may overlap, mm.
    """
    given = reading.at(at)
    given = given if isinstance(given, dict) else {}
    with lengths_in(given.get("units", "mm")):
        parts = [None if read is None else read.to_domain() for read in reading.sound_models(f"{at}/parts", PartDocument)]
        welds = [None if read is None else read.to_domain() for read in reading.sound_models(f"{at}/welds", WeldDocument)]
        tolerances = [
            None if read is None else read.to_domain() for read in reading.sound_models(f"{at}/tolerances", ToleranceDocument)
        ]
        dimensions = [
            None if read is None else read.to_domain()
            for read in reading.sound_models(f"{at}/open_dimensions", OpenDimensionDocument)
        ]
    for field, what in (("parts", "part id"), ("welds", "weld id")):
        reading.add(repeated_faults(reading.names(f"{at}/{field}", "id"), what))
    if isinstance(given.get("parts"), list):
        reading.add(counts_faults(parts, welds, tolerances, dimensions), at)
    reading.add(naming_faults(parts, welds, tolerances, dimensions, _faulty_ids(reading, at, parts)), at)
    reading.add(body_faults(parts, welds, tolerances, dimensions), at)
    reading.add(fit.fit_faults(parts, welds, overlap), at)


def _faulty_ids(reading: Reading[Any], at: str, parts: Sequence[Part | None]) -> frozenset[str] | None:
    """Return the ids of parts at fault, None if one of them cannot be known."""
    if not isinstance(reading.at(f"{at}/parts"), list):
        return None
    faulty = [entry for entry, part in zip(reading.entries(f"{at}/parts"), parts, strict=True) if part is None]
    ids = [entry.get("id") if isinstance(entry, dict) else None for entry in faulty]
    return frozenset(str(id) for id in ids) if all(isinstance(id, str) for id in ids) else None


def weld_document(weld: Weld) -> dict[str, Any]:
    """Return a weld as plain values, in mm."""
    return {
        "id": weld.id, "parts": list(weld.parts), "path": [list(point) for point in weld.path], "kind": weld.kind,
        "leg": weld.leg, "throat": weld.throat, "in_fixture": weld.in_fixture, "process": weld.process,
        "side": None if weld.side is None else list(weld.side),
    }  # fmt: skip


def weldment_fingerprint(weldment: Weldment) -> str:
    """Return the SHA-256 of what a weldment says, in hexadecimal: the same in whichever unit and order of fields it was given."""
    # Without what is not said: a field that is added to documents later leaves the fingerprints of older ones as they are.
    said = _said(weldment_document(replace(weldment, stored=None)))
    text = json.dumps(said, ensure_ascii=False, sort_keys=True, separators=(",", ":"))
    return hashlib.sha256(text.encode()).hexdigest()


def _said(value: Any) -> Any:
    """Return plain values without the members that say nothing: null, empty texts, lists and objects."""
    if isinstance(value, dict):
        return {name: kept for name, each in value.items() if (kept := _said(each)) not in (None, "", [], {})}
    return [_said(each) for each in value] if isinstance(value, list) else value


def weldment_document(weldment: Weldment) -> dict[str, Any]:
    """Return a weldment as the document it is read from, in mm."""
    named = {} if weldment.stored is None else {"stored": asdict(weldment.stored)}
    return named | {
        "format": FORMAT, "name": weldment.name, "units": "mm",
        "parts": [_part_document(part) for part in weldment.parts],
        "welds": [weld_document(weld) for weld in weldment.welds],
        "tolerances": [
            {"part": t.part, "point": list(t.point), "direction": list(t.direction), "plus_minus": t.plus_minus,
             "relative_to": t.relative_to}
            for t in weldment.tolerances
        ],
        "open_dimensions": [
            {"part": entry.part, "direction": list(entry.direction), "range": [entry.low, entry.high]}
            for entry in weldment.open_dimensions
        ],
    }  # fmt: skip


def _part_document(part: Part) -> dict[str, Any]:
    pose = {"at": list(part.pose.at), "along": list(part.pose.along), "up": list(part.pose.up)}
    document: dict[str, Any] = {
        "id": part.id, "name": part.name, "material": part.material, "section": section_document(part.section, part.length),
    }  # fmt: skip
    if part.section.shape != "plate":
        document["length"] = part.length
    return document | {"pose": pose} | ({"cuts": cuts_document(part.cuts)} if part.cuts else {})
