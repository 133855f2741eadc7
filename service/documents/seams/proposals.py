"""The seams document: every bead that the parts of a weldment offer, to be looked at, changed and chosen from."""

from __future__ import annotations

import json
from collections.abc import Mapping, Sequence
from typing import Annotated, Any, Literal

from pydantic import ConfigDict, Field

from inventory import limits
from service.documents.reading.fields import Direction3, Document, Exactly, Id, Length, Measured, Name, Point3, UpTo
from service.documents.reading.fingerprint import fingerprint
from service.documents.weldment import weldment_document
from solver.drafting import ChosenSeam, ProposedSeam, sized_by
from solver.drafting.touching.kinds import LEG_BY
from solver.weldment import InFixture, WeldKind, Weldment

FORMAT = "holdwright.seams/1"
MOST_SEAMS = 10_000
"""More seams than this are not read; 200 parts that all touch several others have some 2,000."""
Bead = Annotated[float, Length(limits.BEAD)]
EXAMPLE: dict[str, Any] = {
    "format": FORMAT, "name": "hinge post", "units": "mm", "parts_fingerprint": "f0f1e64a0a2b",
    "seams": [
        {"id": "s1", "parts": ["post", "tab"], "kind": "fillet", "path": [[200, -24, 60], [200, 24, 60]], "side": None,
         "open_side": [-0.707, 0, 0.707], "opening_deg": 90, "openings_deg": [90, 90], "length_mm": 48,
         "leg": 3, "throat": None, "sized_by": LEG_BY,
         "place": "tab on post, left side", "outside_corner": False, "square_corner": True, "weld": None,
         "chosen": True, "in_fixture": "full", "process": "135"},
    ],
}  # fmt: skip


class SeamDocument(Document):
    """One bead that could be laid: where, and what is proposed for it. What is left out when it is read is as proposed."""

    id: Annotated[Id, Field(description="s1, s2 and so on: the same for the same parts")]
    parts: Annotated[list[Id] | None, Exactly(2, "part ids"), Field(description="the two parts between which it lies")] = None
    kind: Annotated[
        WeldKind | None, Field(description="sort of joint, by the angle between the faces beside it; yours to change")
    ] = None
    path: Annotated[
        list[Point3] | None, UpTo(limits.VERTICES, 2), Field(description="its root, closed if the first point equals the last")
    ] = None
    side: Annotated[
        Direction3 | None, Field(description="which side of the line it lies on, where the parts are open on several; else null")
    ] = None
    open_side: Annotated[Direction3 | None, Field(description="from the root, the middle of the air between the parts")] = None
    opening_deg: Annotated[
        float | None, Field(description="how wide that air is in the middle of the path, degrees: 90 in a tee, 180 in a plane")
    ] = None
    openings_deg: Annotated[
        list[float] | None, Exactly(2, "numbers"), Field(description="the least and the most of it along the path, degrees")
    ] = None
    length_mm: Annotated[float | None, Field(description="along the path, mm")] = None
    leg: Annotated[Bead | None, Field(description="leg of a fillet or lap weld: proposed by `sized_by`, yours to set")] = None
    throat: Annotated[Bead | None, Field(description="throat of any other weld: proposed by `sized_by`, yours to set")] = None
    sized_by: Annotated[Name, Field(description="the rule of thumb that proposes the size")] = ""
    place: Annotated[Name | None, Field(description="which part on which and where, in words")] = None
    outside_corner: Annotated[
        bool | None,
        Field(description="whether it lies outside on a corner: the air is wider than 181 degrees, or a sheet's edge closes it"),
    ] = None
    square_corner: Annotated[bool | None, Field(description="whether the opening is 90 degrees all along, to a degree")] = None
    weld: Annotated[Id | None, Field(description="the weldment's weld that lies on it already; null if none does")] = None
    chosen: Annotated[bool, Field(description="whether it is to be welded: false until you say so")] = False
    in_fixture: Annotated[InFixture, Field(description="how much of it is to be welded in the fixture")] = "full"
    process: Annotated[Name, Field(description="welding process, such as 135")] = ""


class SeamsDocument(Measured):
    """Every bead that the parts of a weldment offer. A proposal: nothing is welded until seams are chosen."""

    model_config = ConfigDict(json_schema_extra={"examples": [EXAMPLE]})

    format: Annotated[Literal["holdwright.seams/1"], Field(description=f'"{FORMAT}"')]
    name: Annotated[Name, Field(description="the weldment's name")] = ""
    parts_fingerprint: Annotated[
        str,
        Field(
            description="of the parts it was made for (ids, sections, lengths, places, cuts); a weldment of others is refused",
            pattern="^[0-9a-f]{12}$",
        ),
    ]
    seams: Annotated[list[SeamDocument], UpTo(MOST_SEAMS), Field(description="the seams, pair by pair in the order of the parts")]


def parts_fingerprint(weldment: Weldment) -> str:
    """Return twelve digits that change with whatever seams depend on: the parts' ids, sections, lengths, places and cuts."""
    parts = [
        {name: part[name] for name in part if name not in ("name", "material")} for part in weldment_document(weldment)["parts"]
    ]
    return fingerprint(json.dumps(_rounded(parts), ensure_ascii=False, sort_keys=True, separators=(",", ":")).encode())


def _rounded(value: Any) -> Any:
    """Return plain values with their numbers to a millionth: a weldment written and read again has the same parts."""
    if isinstance(value, dict):
        return {key: _rounded(entry) for key, entry in value.items()}
    if isinstance(value, list | tuple):
        return [_rounded(entry) for entry in value]
    return round(float(value), 6) + 0.0 if isinstance(value, int | float) and not isinstance(value, bool) else value


def seams_document(weldment: Weldment, proposed: Sequence[ProposedSeam], chosen: Sequence[ChosenSeam] = ()) -> dict[str, Any]:
    """Return the seams of a weldment as a document in mm, none chosen but those given."""
    by_id: Mapping[str, ChosenSeam] = {each.proposed.id: each for each in chosen}
    return {
        "format": FORMAT, "name": weldment.name, "units": "mm", "parts_fingerprint": parts_fingerprint(weldment),
        "seams": [seam_document(each, by_id.get(each.id)) for each in proposed],
    }  # fmt: skip


def seam_document(proposed: ProposedSeam, chosen: ChosenSeam | None = None) -> dict[str, Any]:
    """Return one seam, chosen or not, as plain values."""
    size = proposed.seam if chosen is None else chosen
    return {
        "id": proposed.id, **found_facts(proposed), "kind": size.kind, "leg": size.leg, "throat": size.throat,
        "sized_by": sized_by(proposed.seam), "weld": proposed.weld, "chosen": chosen is not None,
        "in_fixture": "full" if chosen is None else chosen.in_fixture, "process": "" if chosen is None else chosen.process,
    }  # fmt: skip


def found_facts(proposed: ProposedSeam) -> dict[str, Any]:
    """Return what is found of a seam and is not for anybody to set, as plain values."""
    seam = proposed.seam
    return {
        "parts": list(seam.parts), "place": seam.place, "path": [list(point) for point in seam.path],
        "side": None if seam.side is None else list(seam.side), "open_side": list(seam.open_side),
        "opening_deg": seam.opening, "openings_deg": list(seam.openings), "length_mm": seam.length,
        "outside_corner": seam.outside_corner, "square_corner": seam.square_corner,
    }  # fmt: skip
