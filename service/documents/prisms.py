"""The prism on the wire: the one geometric primitive of every document."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Annotated, Any

from pydantic import AfterValidator, Field

from inventory import limits
from inventory.shapes import IDENTITY, Matrix, PlaneCut, Prism, frame_faults
from service.documents.reading.fields import (
    Coordinate,
    Direction3,
    Exactly,
    Point3,
    Ring,
    UpTo,
    ValueDocument,
    _mm,
    checked,
    ring,
    triple,
)


def matrix(rows: list[list[float]]) -> Matrix:
    """Return a 4x4 frame as the values carry it."""
    return tuple(tuple(row) for row in rows)  # type: ignore[misc]


def _rigid(rows: list[list[float]]) -> list[list[float]]:
    scale = _mm.get()
    moved = [[*row[:3], row[3] * scale] if index < 3 else row for index, row in enumerate(rows)]
    checked(frame_faults("", matrix(moved)))
    return moved


Frame = Annotated[
    list[Annotated[list[float], Exactly(4, "numbers")]],
    Exactly(4, "rows"),
    AfterValidator(_rigid),
    Field(description="4x4 row-major: columns u, v, w and origin as seen in the parent; a proper rigid transform"),
]


class CutDocument(ValueDocument[PlaneCut]):
    """A plane that takes something off a prism."""

    point: Annotated[Point3, Field(description="a point of the plane, in the prism's own frame (u, v, w)")]
    normal: Annotated[Direction3, Field(description="square to the plane, towards what is taken away")]

    def _built(self) -> PlaneCut:
        return PlaneCut(triple(self.point), triple(self.normal))


class PrismDocument(ValueDocument[Prism]):
    """An outline in the local (u, v) plane, extruded along local w."""

    outline: Annotated[Ring, Field(description="simple polygon of 3 to 1,000 vertices, either winding, not closed by repetition")]
    cutouts: Annotated[
        list[Ring],
        UpTo(limits.CUTOUTS),
        Field(default_factory=list, description="outlines strictly inside, apart from each other"),
    ]
    start: Annotated[Coordinate, Field(alias="from", description="where the extrusion starts along w")]
    end: Annotated[Coordinate, Field(alias="to", description="where the extrusion ends along w; more than `from`")]
    frame: Annotated[Frame | None, Field(description="4x4 row-major proper rigid transform; absent = identity")] = None
    cuts: Annotated[
        list[CutDocument], UpTo(limits.CUTS), Field(default_factory=list, description="planes that take something off it")
    ]

    def _built(self) -> Prism:
        frame = IDENTITY if self.frame is None else matrix(self.frame)
        cutouts = tuple(ring(cutout) for cutout in self.cutouts)
        return Prism(ring(self.outline), self.start, self.end, cutouts, frame, tuple(cut.to_domain() for cut in self.cuts))


def prism_document(prism: Prism) -> dict[str, Any]:
    """Return a prism as plain JSON values."""
    document: dict[str, Any] = {"outline": [list(point) for point in prism.outline], "from": prism.start, "to": prism.end}
    if prism.cutouts:
        document["cutouts"] = [[list(point) for point in cutout] for cutout in prism.cutouts]
    if prism.frame != IDENTITY:
        document["frame"] = [list(row) for row in prism.frame]
    if prism.cuts:
        document["cuts"] = cuts_document(prism.cuts)
    return document


def cuts_document(cuts: Sequence[PlaneCut]) -> list[dict[str, Any]]:
    """Return cuts as plain JSON values."""
    return [{"point": list(cut.point), "normal": list(cut.normal)} for cut in cuts]
