"""A STEP file as a weldment: every solid as the part it is, or what has to be said about it.

Nothing is left out unless the user says so: what is no part keeps its place among the bodies, with the faces that are in the way.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from pathlib import PurePath
from typing import Any

from inventory import limits
from inventory.errors import Fault, InvalidDocument
from service.exchange.weldments.step.file_units import told_units
from service.exchange.weldments.step.header import dialect_of
from service.exchange.weldments.step.occurrences import Occurrence, Placed, placed
from service.exchange.weldments.step.part_ids import part_ids
from service.exchange.weldments.step.solid_boundaries import drawn_box, solid_boundary
from service.exchange.weldments.step.words import in_words
from service.exchange.weldments.weldment_reading import ALL, DRILLED, Deviation, ReadBody, ReadingOptions, Remark, WeldmentReading
from solver.recognition import RecognisedPrism, Sighting, SolidBoundary, flaw, outer_prism, recognise, recognise_filled
from solver.weldment import Part

UNREADABLE = Sighting("solid.unreadable", "its faces and edges do not fit together")
FAULTS = 3
"""So many reasons are told why a part cannot be."""


def read_step(content: bytes, name: str, options: ReadingOptions) -> WeldmentReading:
    """Return the weldment that a STEP file holds.

    Parameters
    ----------
    content : bytes
        The file.
    name : str
        What the weldment is called if the file gives it no name.
    options : ReadingOptions
        What the user says that the file does not.

    Raises
    ------
    InvalidDocument
        If it is no STEP file, breaks off, or holds nothing, or too much, to read.
    """
    dialect = dialect_of(content)
    found = placed(content)
    units, factor, remarks = told_units(found.units, options.units)
    _refuse_unless_some(found, options)
    ids = part_ids(occurrence.name for occurrence in found.solids)
    bodies, parts = [], []
    for number, (occurrence, id) in enumerate(zip(found.solids, ids, strict=True), 1):
        body, part = _read(number, occurrence, id, factor, options)
        bodies.append(body)
        parts += [part] if part else []
    remarks += tuple(
        Remark("shape.open", f"{faces} faces enclose no solid; only solids are read", shape) for shape, faces in found.open_shapes
    )
    remarks += tuple(
        Remark("name.unknown", f"no solid is called {limits.shown(asked)}", "")
        for asked in (*options.left_out, *options.as_bodies, *options.filled)
        if asked != ALL and all(asked != occurrence.name for occurrence in found.solids)
    )
    called = (found.name or PurePath(name).stem)[: limits.NAME_LENGTH]
    return WeldmentReading("step", dialect, units, called, tuple(parts), tuple(bodies), remarks)


def _refuse_unless_some(found: Placed, options: ReadingOptions) -> None:
    """Refuse a file without solids, or with more than a weldment can have, before any is looked at."""
    if not found.solids:
        loose = sum(faces for _, faces in found.open_shapes)
        wrong = f"no solid, only {loose} faces that enclose none" if loose else "no solid at all"
        raise InvalidDocument([Fault("/data", wrong, "a STEP file with closed solids")])
    count = sum(1 for occurrence in found.solids if occurrence.name not in options.left_out)
    if count > limits.PARTS:
        accepted = f"at most {limits.PARTS} solids, counting each as often as it is placed; the others left out by name"
        raise InvalidDocument([Fault("/data", f"{count} solids", accepted)])


def _read(number: int, occurrence: Occurrence, id: str, factor: float, options: ReadingOptions) -> tuple[ReadBody, Part | None]:
    name = occurrence.name
    if name in options.left_out:
        return ReadBody(number, name, "left_out", words="left out, as asked"), None
    solid = _scaled(occurrence.solid, factor)
    boundary = _boundary(solid)
    unsound = UNREADABLE if boundary is None else flaw(boundary)
    if boundary is None or unsound is not None:
        return ReadBody(number, name, "not_recognised", remarks=_remarks(number, [unsound or UNREADABLE])), None
    try:
        body, part = _sound(number, name, boundary, id, options)
    except InvalidDocument as refused:
        told = tuple(Remark("part.refused", fault.wrong, f"solid {number}") for fault in refused.faults[:FAULTS])
        body, part = ReadBody(number, name, "not_recognised", remarks=told), None
    return (replace(body, box=drawn_box(solid)) if body.outcome == "not_recognised" else body), part


def _sound(number: int, name: str, boundary: SolidBoundary, id: str, options: ReadingOptions) -> tuple[ReadBody, Part | None]:
    """Return what becomes of a solid that can be looked at; raises InvalidDocument if the part would break a limit."""
    called = name[-limits.NAME_LENGTH :]
    if name in options.as_bodies:
        return _body(number, name, outer_prism(boundary).part(id, called, options.material), ())
    fills = name in options.filled or ALL in options.filled
    found = recognise_filled(boundary) if fills else recognise(boundary)
    if isinstance(found, RecognisedPrism):
        return _part(number, name, found, found.part(id, called, options.material))
    told = (Remark("solid.not_prism", "no prism with at most 8 cut ends", f"solid {number}"), *_remarks(number, found.reasons))
    if isinstance(recognise_filled(boundary), RecognisedPrism):
        told = (*told, Remark(DRILLED, "with its drilled holes filled it is a part", f"solid {number}"))
    if ALL in options.left_out:
        return ReadBody(number, name, "left_out", words="left out, as asked", remarks=told), None
    if ALL in options.as_bodies:
        return _body(number, name, outer_prism(boundary).part(id, called, options.material), told)
    return ReadBody(number, name, "not_recognised", remarks=told), None


def _part(number: int, name: str, found: RecognisedPrism, part: Part) -> tuple[ReadBody, Part]:
    off = found.deviation
    deviation = Deviation(round(off.volume_mm3, 3), round(off.volume_share, 8), round(off.largest_mm, 6))
    return ReadBody(number, name, "part", part.id, in_words(part), deviation, _remarks(number, found.sightings)), part


def _body(number: int, name: str, part: Part, told: tuple[Remark, ...]) -> tuple[ReadBody, Part]:
    return ReadBody(number, name, "body", part.id, in_words(part), None, told), part


def _boundary(solid: Any) -> SolidBoundary | None:
    """Return a solid as a boundary; None if the kernel finds no way to look at it."""
    from OCP.Standard import Standard_Failure

    try:
        return solid_boundary(solid)
    except Standard_Failure:
        return None


def _scaled(solid: Any, factor: float) -> Any:
    if factor == 1.0:
        return solid
    from OCP.BRepBuilderAPI import BRepBuilderAPI_Transform
    from OCP.gp import gp_Pnt, gp_Trsf
    from OCP.TopoDS import TopoDS

    larger = gp_Trsf()
    larger.SetScale(gp_Pnt(0, 0, 0), factor)
    return TopoDS.Solid(BRepBuilderAPI_Transform(solid, larger, True).Shape())


def _remarks(number: int, sightings: Sequence[Sighting]) -> tuple[Remark, ...]:
    return tuple(
        Remark(
            sighting.code,
            sighting.text,
            f"solid {number}" if sighting.face is None else f"solid {number}, face {sighting.face}",
            sighting.at,
        )
        for sighting in sightings
    )
