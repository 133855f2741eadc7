"""Edits of where parts are: placed on another by two faces and offsets, moved, turned."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from typing import get_args

import numpy as np

from inventory.errors import Fault, InvalidDocument, refuse
from inventory.limits import one_of_faults
from inventory.shapes import Array
from service.documents.reading.fields import MM_PER
from service.text import length as length_words
from service.weldments.edited import Edited, Editing, named
from service.weldments.following.extents import extents
from service.weldments.following.placed_parts import followed, on_top_of, touching
from service.weldments.lengths import read_length, read_number
from solver.drafting import FaceEdge, Offset, Placing, described, described_by, face, faces, placed_on
from solver.weldment import LengthUnit, Part, Pose

EDGES: tuple[FaceEdge, ...] = get_args(FaceEdge)
AXES = ("x", "y", "z")


def placing_of(part: Part, target: Part) -> Placing:
    """Return how a part is placed on another as things stand; on top of it if no two of their faces are parallel."""
    there = touching(part, target)
    if there is not None:
        return there
    found = described(part, target)
    if found:
        return found[0]
    under = max(faces(part), key=lambda each: -each.normal[2])
    top = max(faces(target), key=lambda each: each.normal[2])
    return Placing(under.key, target.id, top.key)


def place_part(document: Mapping[str, object], index: int, form: Mapping[str, str]) -> Edited:
    """Place a part on another.

    Parameters
    ----------
    form : mapping
        ``on``: the other's id; ``face``, ``on_face``: keys of faces; ``turn``, degrees; ``gap``; ``flush``; and for ``along`` and
        ``across``: ``_edge`` of its own, ``_to`` of the other, ``_by``, a length. What is not there stays as it is when the faces
        stay, else it is in the middle.

    Raises
    ------
    InvalidDocument
        What cannot be read, at ``/`` and the field's name.
    """
    edit = Editing(document)
    before, entry = edit.before, edit.entry("parts", index)
    part, target = before.parts[index], before.part_with_faces(form.get("on"))
    if part is None:
        raise InvalidDocument([Fault("/on", "the part has faults of its own", "its sizes mended first")])
    refuse(_faceless(part))
    if target is None or target is part:
        raise InvalidDocument([Fault("/on", "there is no such part to place it on", "another part without faults")])
    placing = _asked(form, part, target, before.units)
    pose = _placed(part, target, placing)
    entry["pose"] = edit.pose(pose)
    followed(edit, before, index, but=target.id)
    where = face(target, placing.on_face)
    return edit.done(f"placed {part.id} on {target.id}, {where.words}", ("parts", index))


def _asked(form: Mapping[str, str], part: Part, target: Part, units: LengthUnit) -> Placing:
    start = placing_of(part, target)
    faults: list[Fault] = []
    own, other = form.get("face", start.part_face), form.get("on_face", start.on_face)
    for name, key, of in (("face", own, part), ("on_face", other, target)):
        if key not in {each.key for each in faces(of)}:
            faults.append(Fault(f"/{name}", f"{of.id} has no such face", "one of its faces"))
    refuse(faults)
    if (own, other) != (start.part_face, start.on_face):
        start = described_by(part, target, own, other) or Placing(own, target.id, other)
    told = tuple(form.get(f"was_{name}", now) for name, now in (("on", target.id), ("face", own), ("on_face", other)))
    if told != (target.id, own, other):  # the fields beside still tell of the faces before
        return Placing(own, target.id, other, flush=start.flush and form.get("flush") == "yes")
    asked = replace(start, flush=form.get("flush", "yes" if start.flush else "no") == "yes")
    try:
        asked = replace(asked, along=_offset(form, "along", start.along, units))
    except InvalidDocument as bad:
        faults += bad.faults
    try:
        asked = replace(asked, across=_offset(form, "across", start.across, units))
    except InvalidDocument as bad:
        faults += bad.faults
    for name, field in (("turn", "turn"), ("gap", "gap_mm")):
        if name in form:
            try:
                asked = replace(asked, **{field: _number(form, name, units)})  # type: ignore[arg-type]
            except InvalidDocument as bad:
                faults += [Fault(f"/{name}", fault.wrong, fault.accepted) for fault in bad.faults]
    refuse(faults)
    return asked


def _number(form: Mapping[str, str], name: str, units: LengthUnit) -> float:
    if name == "turn":
        return read_number(form[name], "", "degrees, such as 90") % 360.0
    return read_length(form[name], units) * MM_PER[units]


def _offset(form: Mapping[str, str], name: str, start: Offset, units: LengthUnit) -> Offset:
    found: dict[str, FaceEdge] = {}
    for field, ending in (("from_edge", "to"), ("to_edge", "edge")):
        word = form.get(f"{name}_{ending}", getattr(start, field))
        refuse(one_of_faults(f"/{name}_{ending}", word, EDGES))
        found[field] = next(edge for edge in EDGES if edge == word)
    mm = start.distance_mm
    try:
        if f"{name}_by" in form:
            mm = read_length(form[f"{name}_by"] or "0", units) * MM_PER[units]
        return Offset(found["from_edge"], found["to_edge"], mm)
    except InvalidDocument as bad:
        raise InvalidDocument([Fault(f"/{name}_by", fault.wrong, fault.accepted) for fault in bad.faults]) from bad


def _placed(part: Part, target: Part, placing: Placing) -> Pose:
    try:
        return placed_on(part, target, placing)
    except InvalidDocument as far:
        raise InvalidDocument([Fault("/along_by", fault.wrong, fault.accepted) for fault in far.faults[:1]]) from far


def move_part(document: Mapping[str, object], index: int, form: Mapping[str, str]) -> Edited:
    """Move a part by ``x``, ``y``, ``z``, with what is placed on it unless ``alone`` is ``yes``; raises InvalidDocument."""
    edit = Editing(document)
    before, entry = edit.before, edit.entry("parts", index)
    part = _sound(before.parts[index])
    faults: list[Fault] = []
    by = [0.0, 0.0, 0.0]
    for axis, name in enumerate(AXES):
        if form.get(name, "").strip():
            try:
                by[axis] = read_length(form[name], before.units, f"/{name}") * before.mm_per_unit
            except InvalidDocument as bad:
                faults += bad.faults
    refuse(faults)
    if not any(by):
        return edit.done("")
    entry["pose"] = edit.pose(_pose([a + b for a, b in zip(part.pose.at, by, strict=True)], part.pose))
    followed(edit, before, index, form.get("alone") != "yes")
    said = " and ".join(f"{length_words(mm, before.units)} along {axis}" for axis, mm in zip(AXES, by, strict=True) if mm)
    return edit.done(f"moved {part.id} {said}", ("parts", index))


def turn_part(document: Mapping[str, object], index: int, form: Mapping[str, str]) -> Edited:
    """Turn a part by ``degrees`` about an ``axis`` of the weldment, about its own middle; raises InvalidDocument."""
    edit = Editing(document)
    before, entry = edit.before, edit.entry("parts", index)
    part = _sound(before.parts[index])
    refuse(one_of_faults("/axis", form.get("axis", "z"), AXES))
    axis = AXES.index(form.get("axis", "z"))
    degrees = read_number(form.get("degrees", ""), "/degrees", "degrees, counter-clockwise, such as 90")
    turn = _turn(axis, degrees)
    middle = np.mean(extents(part) if part.body else [each.centre for each in faces(part)], axis=0)
    at = turn @ (np.array(part.pose.at) - middle) + middle
    along, up = turn @ np.array(part.pose.along), turn @ np.array(part.pose.up)
    entry["pose"] = edit.pose(Pose(_three(at), _three(along), _three(up)))
    followed(edit, before, index, form.get("alone") != "yes")
    return edit.done(f"turned {named(entry, 'a part')} {degrees:g} degrees about {AXES[axis]}", ("parts", index))


def put_on_top(document: Mapping[str, object], index: int, form: Mapping[str, str]) -> Edited:
    """Put a part on top of another, ``on``, in its middle; raises InvalidDocument."""
    edit = Editing(document)
    before, entry = edit.before, edit.entry("parts", index)
    part, target = _sound(before.parts[index]), before.part_with_faces(form.get("on"))
    refuse(_faceless(part))
    if target is None or target.id == part.id:
        raise InvalidDocument([Fault("/on", "there is no such part to put it on", "another part without faults")])
    entry["pose"] = edit.pose(on_top_of(part, target))
    followed(edit, before, index, but=target.id)
    return edit.done(f"put {part.id} on {target.id}", ("parts", index))


def _faceless(part: Part) -> list[Fault]:
    return [Fault("/on", f"{part.id} is an outer body and has no faces", "moving or turning it")] if part.body else []


def _sound(part: Part | None) -> Part:
    if part is None:
        raise InvalidDocument([Fault("", "the part has faults of its own", "its sizes mended first")])
    return part


def _pose(at: list[float], before: Pose) -> Pose:
    try:
        return Pose((at[0], at[1], at[2]), before.along, before.up)
    except InvalidDocument as far:
        raise InvalidDocument([Fault(f"/{AXES[k]}", f.wrong, f.accepted) for k, f in enumerate(far.faults[:3])]) from far


def _turn(axis: int, degrees: float) -> Array:
    """Return the turn about an axis; quarter turns are exact."""
    quarter = {0.0: (1.0, 0.0), 90.0: (0.0, 1.0), 180.0: (-1.0, 0.0), 270.0: (0.0, -1.0)}.get(degrees % 360.0)
    cosine, sine = quarter or (float(np.cos(np.radians(degrees))), float(np.sin(np.radians(degrees))))
    turn, (a, b) = np.eye(3), ((axis + 1) % 3, (axis + 2) % 3)
    turn[a, a], turn[a, b], turn[b, a], turn[b, b] = cosine, -sine, sine, cosine
    return turn


def _three(values: Array) -> tuple[float, float, float]:
    return float(values[0]), float(values[1]), float(values[2])
