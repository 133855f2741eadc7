"""Edits of what locating must keep and follow: tolerances and open dimensions, each at a face of a part."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, get_args

import numpy as np

from inventory.errors import Fault, InvalidDocument, refuse
from inventory.limits import TOLERANCES, one_of_faults
from service.weldments.drafted_weldment import DraftedWeldment
from service.weldments.edited import Edited, Editing, directions
from service.weldments.lengths import read_length
from solver.drafting import NamedFace, faces
from solver.standards.iso13920 import LinearClass
from solver.weldment import OpenDimension, Part, Tolerance

CLASSES: tuple[str, ...] = get_args(LinearClass)
_AT_FACE = 0.05


def add_tolerance(document: Mapping[str, Any], form: Mapping[str, str]) -> Edited:
    """Add a tolerance square to a ``face`` of ``part``: ``plus_minus``, ``relative_to``; raises InvalidDocument."""
    edit = Editing(document)
    entries = edit.entries("tolerances")
    part, at = _face(edit.drafted, form)
    entry = {"part": part.id, "point": edit.lengths(at.centre), "direction": directions(at.normal)}
    entries.append(entry)
    _refuse_too_many(entries, "tolerances")
    _set_tolerance(edit, entry, {"plus_minus": "0.5" if edit.units == "mm" else "1/32", **form})
    return edit.done(f"added a tolerance at {part.id}, {at.words}", ("tolerances", len(entries) - 1))


def change_tolerance(document: Mapping[str, Any], index: int, form: Mapping[str, str]) -> Edited:
    """Change a tolerance's place, size and what it is relative to; what the form does not name stays; raises InvalidDocument."""
    edit = Editing(document)
    entry = edit.entry("tolerances", index)
    if form.get("part") or form.get("face"):
        there = edit.drafted.tolerances[index]
        if there is None or (form.get("part", there.part), form.get("face") or None) != (
            there.part,
            face_key(edit.drafted, there),
        ):
            part, at = _face(edit.drafted, {"part": str(entry.get("part")), **form})
            entry |= {"part": part.id, "point": edit.lengths(at.centre), "direction": directions(at.normal)}
    _set_tolerance(edit, entry, form)
    words = f"changed the tolerance at {entry.get('part')}" if edit.document != document else ""
    return edit.done(words, ("tolerances", index))


def add_open_dimension(document: Mapping[str, Any], form: Mapping[str, str]) -> Edited:
    """Add an open dimension across a ``face`` of ``part``, from ``low`` to ``high`` about nominal; raises InvalidDocument."""
    edit = Editing(document)
    entries = edit.entries("open_dimensions")
    part, at = _face(edit.drafted, form)
    entry: dict[str, Any] = {"part": part.id, "direction": directions(at.normal)}
    entries.append(entry)
    _refuse_too_many(entries, "open dimensions")
    usual = ("-5", "5") if edit.units == "mm" else ("-1/4", "1/4")
    _set_range(edit, entry, {"low": usual[0], "high": usual[1], **form})
    return edit.done(f"added an open dimension at {part.id}, {at.words}", ("open_dimensions", len(entries) - 1))


def change_open_dimension(document: Mapping[str, Any], index: int, form: Mapping[str, str]) -> Edited:
    """Change an open dimension's part, direction and range; what the form does not name stays; raises InvalidDocument."""
    edit = Editing(document)
    entry = edit.entry("open_dimensions", index)
    if form.get("part") or form.get("face"):
        there = edit.drafted.open_dimensions[index]
        if there is None or (form.get("part", there.part), form.get("face") or None) != (
            there.part,
            face_key(edit.drafted, there),
        ):
            part, at = _face(edit.drafted, {"part": str(entry.get("part")), **form})
            entry |= {"part": part.id, "direction": directions(at.normal)}
    _set_range(edit, entry, form)
    words = f"changed the open dimension at {entry.get('part')}" if edit.document != document else ""
    return edit.done(words, ("open_dimensions", index))


def remove_requirement(document: Mapping[str, Any], name: str, index: int) -> Edited:
    """Remove a tolerance (``tolerances``) or an open dimension (``open_dimensions``)."""
    edit = Editing(document)
    entry = edit.entry(name, index)
    edit.entries(name).pop(index)
    return edit.done(f"removed {'the tolerance' if name == 'tolerances' else 'the open dimension'} at {entry.get('part')}")


def face_key(drafted: DraftedWeldment, entry: Tolerance | OpenDimension) -> str | None:
    """Return the key of the face that a tolerance or an open dimension stands at, None if it stands at none's middle."""
    part = drafted.part(entry.part)
    if part is None:
        return None
    alike = [each for each in faces(part) if float(np.dot(each.normal, entry.direction)) > 1 - 1e-6]
    if isinstance(entry, Tolerance):
        alike = [each for each in alike if float(np.linalg.norm(np.subtract(each.centre, entry.point))) <= _AT_FACE]
    return alike[0].key if alike else None


def _face(drafted: DraftedWeldment, form: Mapping[str, str]) -> tuple[Part, NamedFace]:
    part = drafted.part_with_faces(form.get("part"))
    if part is None:
        raise InvalidDocument([Fault("/part", "there is no such part with faces", "a part of this weldment, no outer body")])
    there = faces(part)
    found = next((each for each in there if each.key == form.get("face")), None)
    return part, found or next((each for each in there if each.key == "end"), there[0])


def _set_tolerance(edit: Editing, entry: dict[str, Any], form: Mapping[str, str]) -> None:
    faults: list[Fault] = []
    general = form.get("iso13920", "")
    if "relative_to" in form:
        entry.pop("relative_to", None)
        if form["relative_to"]:
            entry["relative_to"] = form["relative_to"]
    if general:
        faults += one_of_faults("/iso13920", general, CLASSES)
    fields = ("length",) if general else ("plus_minus",)
    values: dict[str, Any] = {"iso13920": general} if general else {}
    for name in fields:
        if name in form:
            try:
                values[name] = read_length(form[name], edit.units, f"/{name}")
            except InvalidDocument as bad:
                faults += bad.faults
        elif name in entry:
            values[name] = entry[name]
    refuse(faults)
    if values:
        for name in ("plus_minus", "iso13920", "length"):
            entry.pop(name, None)
        entry |= values


def _set_range(edit: Editing, entry: dict[str, Any], form: Mapping[str, str]) -> None:
    there = entry.get("range")
    there = list(there) if isinstance(there, list) and len(there) == 2 else [0, 0]
    faults: list[Fault] = []
    for number, name in enumerate(("low", "high")):
        if name in form:
            try:
                there[number] = read_length(form[name], edit.units, f"/{name}")
            except InvalidDocument as bad:
                faults += bad.faults
    refuse(faults)
    entry["range"] = there


def _refuse_too_many(entries: list[dict[str, Any]], what: str) -> None:
    if len(entries) > TOLERANCES:
        raise InvalidDocument([Fault("", f"{len(entries)} {what}", f"at most {TOLERANCES}")])
