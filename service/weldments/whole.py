"""Edits of the weldment as a whole: its name, the unit of its lengths."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from inventory.errors import refuse
from inventory.limits import one_of_faults
from service.documents.reading.fields import MM_PER
from service.weldments.edited import Edited, Editing
from service.weldments.lengths import plain_number

_OF_PARTS = ("section", "length", "cuts")
_OF_WELDS = ("path", "leg", "throat")
_OF_TOLERANCES = ("point", "plus_minus", "length")


def name_weldment(document: Mapping[str, Any], name: str) -> Edited:
    """Give the weldment a name; one that is too long is kept, and is a fault of the draft."""
    edit = Editing(document)
    before = edit.weldment.get("name", "")
    edit.weldment["name"] = name.strip()
    return edit.done("" if before == edit.weldment["name"] else "named the weldment" if name.strip() else "took its name away")


def change_units(document: Mapping[str, Any], units: str) -> Edited:
    """Give every length in another unit; nothing changes its size but by what rounding takes; raises InvalidDocument."""
    refuse(one_of_faults("/units", units, tuple(MM_PER)))
    edit = Editing(document)
    was = edit.units
    if was == units:
        return edit.done("")
    by = MM_PER[was] / MM_PER[units]
    for name, fields in (
        ("parts", _OF_PARTS),
        ("welds", _OF_WELDS),
        ("tolerances", _OF_TOLERANCES),
        ("open_dimensions", ("range",)),
    ):
        for entry in edit.entries(name):
            for field in fields:
                if field in entry:
                    entry[field] = scaled(entry[field], by, units, "normal")
            pose = entry.get("pose")
            if isinstance(pose, dict) and "at" in pose:
                pose["at"] = scaled(pose["at"], by, units)
    edit.weldment["units"] = units
    return edit.done(f"lengths are in {'inches' if units == 'inch' else 'mm'} now")


def scaled(value: Any, by: float, units: str, but: str = "") -> Any:
    """Return numbers of any depth multiplied; what is no number stays, and so does what stands under one name."""
    if isinstance(value, list):
        return [scaled(entry, by, units, but) for entry in value]
    if isinstance(value, dict):
        return {name: entry if name == but else scaled(entry, by, units, but) for name, entry in value.items()}
    if isinstance(value, bool) or not isinstance(value, int | float):
        return value
    return plain_number(value * by, units)
