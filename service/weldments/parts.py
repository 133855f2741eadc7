"""Edits of parts: added, changed, copied, removed. Each returns the document after it; the one it was given stays as it is."""

from __future__ import annotations

import copy
from collections.abc import Iterator, Mapping
from typing import Any, get_args

from inventory.errors import Fault, InvalidDocument, refuse
from inventory.limits import PARTS, one_of_faults
from service.text import length as length_words
from service.weldments.edited import Edited, Editing, free_name, named
from service.weldments.following.placed_parts import followed, on_top_of
from service.weldments.lengths import read_length
from service.weldments.section_forms import SHAPES, STARTED, new_section, section_asked
from solver.drafting import first_pose
from solver.weldment import LengthUnit, Material, Part

MATERIALS: tuple[Material, ...] = get_args(Material)


def add_part(document: Mapping[str, Any], form: Mapping[str, str]) -> Edited:
    """Add a part of the asked shape and sizes, on top of another part where one is named.

    Parameters
    ----------
    form : mapping
        ``shape``; ``size`` or sizes by name; ``length``; ``material``; ``id``; ``on``: id of the part it is put on.

    Raises
    ------
    InvalidDocument
        What cannot be read, at ``/`` and the field's name.
    """
    edit = Editing(document)
    parts = edit.entries("parts")
    if len(parts) >= PARTS:
        raise InvalidDocument([Fault("", f"{len(parts)} parts are there", f"at most {PARTS} parts")])
    shape = form.get("shape", "")
    refuse(one_of_faults("/shape", shape, STARTED))
    material = form.get("material", "steel")
    refuse(one_of_faults("/material", material, MATERIALS))
    section = section_asked(form, shape, edit.units)
    entry: dict[str, Any] = {"id": form.get("id", "").strip() or free_name(SHAPES[shape][1], _ids(edit)), "material": material}
    entry["section"] = section
    if shape != "plate":
        usual = new_section(shape, edit.units).length
        typed = form.get("length", "").strip()
        entry["length"] = read_length(typed, edit.units, "/length") if typed else usual
    entry["pose"] = {"at": [0, 0, 0], "along": [1, 0, 0], "up": [0, 0, 1]}
    parts.append(entry)
    put = ""
    part = edit.drafted.parts[-1]
    if part is not None:
        pose = first_pose(part.section)
        entry["pose"] = edit.pose(pose)
        part = edit.drafted.parts[-1]
        target = edit.drafted.part_with_faces(form.get("on"))
        if part is not None and target is not None and target.id != part.id:
            entry["pose"] = edit.pose(on_top_of(part, target))
            put = f" on {target.id}"
    return edit.done(f"added {named(entry, 'a part')}{put}", ("parts", len(parts) - 1))


def change_part(document: Mapping[str, Any], index: int, form: Mapping[str, str]) -> Edited:
    """Change a part's id, name, material, shape, sizes or length; what is placed on it and its welds follow.

    Raises
    ------
    InvalidDocument
        What cannot be read, at ``/`` and the field's name.
    """
    edit = Editing(document)
    before, entry = edit.before, edit.entry("parts", index)
    was = copy.deepcopy(entry)
    section = entry.get("section")
    section = section if isinstance(section, dict) else {}
    shape = form.get("shape") or str(section.get("shape"))
    asked = section_asked(form, shape, edit.units, section)
    if asked != section:
        entry["section"] = asked
    if shape == "plate":
        entry.pop("length", None)
    elif form.get("length", "").strip():
        entry["length"] = read_length(form["length"], edit.units, "/length")
    elif "length" not in entry:
        entry["length"] = new_section(shape, edit.units).length
    if "material" in form:
        refuse(one_of_faults("/material", form["material"], MATERIALS))
        entry["material"] = form["material"]
    if "name" in form and form["name"].strip() != entry.get("name", ""):
        entry["name"] = form["name"].strip()
    if "id" in form and form["id"].strip() != was.get("id"):
        _rename(edit, index, form["id"].strip())
    if _body(entry) != _body(was):
        followed(edit, before, index)
    words = ", ".join(_changes(was, entry, before.units))
    return edit.done(f"changed {named(was, 'a part')}: {words}" if words else "", ("parts", index))


def copy_part(document: Mapping[str, Any], index: int) -> Edited:
    """Put another part of the same sizes beside one, not in its way; its welds and tolerances are not copied."""
    edit = Editing(document)
    entry, parts = edit.entry("parts", index), edit.entries("parts")
    if len(parts) >= PARTS:
        raise InvalidDocument([Fault("", f"{len(parts)} parts are there", f"at most {PARTS} parts")])
    another = copy.deepcopy(entry)
    another["id"] = free_name(named(entry, "part").rstrip("0123456789").rstrip("-") or "part", _ids(edit))
    part = edit.drafted.parts[index]
    if part is not None:
        away = beside(part, [other for other in edit.drafted.parts if other is not None])
        x, y, z = part.pose.at
        another["pose"]["at"] = edit.lengths((x, y + away, z))
    parts.append(another)
    return edit.done(f"copied {named(entry, 'a part')}", ("parts", len(parts) - 1))


def remove_part(document: Mapping[str, Any], index: int) -> Edited:
    """Remove a part with its welds, tolerances and open dimensions, and with pieces asked for at it."""
    edit = Editing(document)
    entry = edit.entry("parts", index)
    id = entry.get("id")
    edit.entries("parts").pop(index)
    gone = []
    for name, what in (("welds", "weld"), ("tolerances", "tolerance"), ("open_dimensions", "open dimension")):
        there = edit.entries(name)
        kept = [each for each in there if not _names(each, id)]
        if len(kept) < len(there):
            gone.append(f"{len(there) - len(kept)} {what}{'s' if len(there) - len(kept) > 1 else ''}")
            there[:] = kept
    for name in ("pins", "avoid"):
        pieces = edit.document.get(name)
        if isinstance(pieces, list):
            edit.document[name] = [each for each in pieces if not (isinstance(each, dict) and each.get("part") == id)]
    with_it = f" with {' and '.join(gone)}" if gone else ""
    return edit.done(f"removed {named(entry, 'a part')}{with_it}")


def beside(part: Part, others: list[Part]) -> float:
    """Return how far along +y a part is moved to lie beyond all others, mm."""
    from service.weldments.following.extents import extents

    low, high = extents(part)[0][1], max(extents(other)[1][1] for other in others)
    return float(high - low) + 20.0


def _names(entry: Mapping[str, Any], id: object) -> bool:
    parts = entry.get("parts")
    return entry.get("part") == id or entry.get("relative_to") == id or (isinstance(parts, list) and id in parts)


def _ids(edit: Editing) -> list[object]:
    return [entry.get("id") for entry in edit.entries("parts")]


def _body(entry: Mapping[str, Any]) -> tuple[Any, Any, Any]:
    return entry.get("section"), entry.get("length"), entry.get("cuts")


def _rename(edit: Editing, index: int, id: str) -> None:
    """Give a part another id wherever it is named; where two parts had the old one, only the part itself."""
    entry = edit.entry("parts", index)
    was = entry.get("id")
    alone = [each.get("id") for each in edit.entries("parts")].count(was) == 1
    entry["id"] = id
    if not alone:
        return
    for name in ("welds", "tolerances", "open_dimensions"):
        for each in edit.entries(name):
            if isinstance(each.get("parts"), list):
                each["parts"] = [id if other == was else other for other in each["parts"]]
            for field in ("part", "relative_to"):
                if each.get(field) == was and was is not None:
                    each[field] = id
    for name in ("pins", "avoid"):
        pieces = edit.document.get(name)
        for each in pieces if isinstance(pieces, list) else ():
            if isinstance(each, dict) and each.get("part") == was:
                each["part"] = id


def _changes(was: Mapping[str, Any], now: Mapping[str, Any], units: LengthUnit) -> Iterator[str]:
    if was.get("id") != now.get("id"):
        yield f"now called {named(now, 'nothing')}"
    if was.get("section") != now.get("section"):
        yield "section"
    if was.get("length") != now.get("length"):
        long = now.get("length")
        by = 25.4 if units == "inch" else 1.0
        yield f"{length_words(long * by, units)} long" if isinstance(long, int | float) else "no length"
    if was.get("material", "steel") != now.get("material", "steel"):
        yield str(now.get("material"))
    if was.get("name", "") != now.get("name", ""):
        yield "name"
