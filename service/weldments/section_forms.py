"""Sections by form: which sizes each shape asks for, what is offered, and the section that typed values come to."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from inventory.errors import Fault, InvalidDocument, refuse
from inventory.limits import one_of_faults, shown
from service.weldments.lengths import read_length
from solver.sections.profiles import PROFILES
from solver.standards.section_sizes import SizeTable, StandardSize, size_table

SHAPES: Mapping[str, tuple[str, str]] = {
    "square_tube": ("square tube", "tube"),
    "rect_tube": ("rectangular tube", "tube"),
    "round_tube": ("round tube", "tube"),
    "plate": ("plate", "plate"),
    "flat_bar": ("flat bar", "bar"),
    "angle": ("angle", "angle"),
    "channel": ("channel", "channel"),
    "round_bar": ("round bar", "bar"),
    "body": ("outer body", "body"),
}
"""Each shape as people call it, and what a new part of it is called."""
STARTED = tuple(shape for shape in SHAPES if shape != "body")
"""Shapes that a form starts a part with; an outer body comes with a document or a file, and is kept and changed."""
SIZE_WORDS: Mapping[str, str] = {
    "width": "width", "height": "height", "wall": "wall", "diameter": "diameter", "leg_a": "first leg", "leg_b": "second leg",
    "thickness": "thickness", "flange": "flange", "web": "web", "flange_thickness": "flange thickness",
    "long": "long", "wide": "wide", "corner_radius": "corner radius", "length": "length",
}  # fmt: skip
"""What each size is called on a form."""
PLATE_SIZES = ("long", "wide", "thickness")
_PLATE_MM: Mapping[str, float] = {"long": 100, "wide": 80, "thickness": 8}
_PLATE_INCH: Mapping[str, float] = {"long": 4, "wide": 3, "thickness": 0.25}
_LENGTH = {"mm": 500.0, "inch": 20.0}
MOST_CORNERS_TEXT = 40_000


@dataclass(frozen=True, slots=True)
class NewSection:
    """What a form for a new part starts with: the shape's sizes and a length, in the draft's units."""

    shape: str
    sizes: Mapping[str, float]
    length: float | None
    table: SizeTable | None
    standard: StandardSize | None


def new_section(shape: str, units: str) -> NewSection:
    """Return what a new part of a shape starts as; an unknown shape as a square tube."""
    shape = shape if shape in STARTED else "square_tube"
    table = size_table(shape, units)
    if table is None:
        return NewSection(shape, _PLATE_INCH if units == "inch" else _PLATE_MM, None, None, None)
    usual = table.sizes[table.usual]
    return NewSection(shape, usual.sizes, _LENGTH.get(units, 500.0), table, usual)


def sizes_of(shape: str) -> tuple[str, ...]:
    """Return the sizes a form asks for of a shape; raises InvalidDocument for a shape there is none of."""
    refuse(one_of_faults("/shape", shape, tuple(SHAPES)))
    return PLATE_SIZES if shape == "plate" else PROFILES[shape].sizes


def standard_size(shape: str, units: str, name: str) -> StandardSize | None:
    """Return the size of that name, None if there is none."""
    table = size_table(shape, units)
    return None if table is None else next((size for size in table.sizes if size.name == name), None)


def section_asked(form: Mapping[str, str], shape: str, units: str, before: Mapping[str, Any] | None = None) -> dict[str, Any]:
    """Return the section a form asks for, in the draft's units.

    Parameters
    ----------
    form : mapping
        ``size``: the name of a standard size, or sizes by name; a plate's outline as ``long`` and ``wide``, or ``corners``,
        as a body's.
    before : mapping, optional
        The section as it stands: what the form does not name stays.

    Raises
    ------
    InvalidDocument
        A size that is no length, at ``/`` and its name.
    """
    names = sizes_of(shape)
    standard = standard_size(shape, units, form.get("size", ""))
    if standard is not None:
        return {"shape": shape, **dict(standard.sizes)}
    faults: list[Fault] = []
    kept = dict(before) if before is not None and before.get("shape") == shape else {}
    found: dict[str, float] = {}
    for name in (*names, "corner_radius"):
        if name in form and (form[name].strip() or name != "corner_radius"):
            try:
                found[name] = read_length(form[name], units, f"/{name}")
            except InvalidDocument as bad:
                faults += bad.faults
    refuse(faults)
    if form.get("corner_radius") == "":
        kept.pop("corner_radius", None)
    if shape == "plate":
        return _plate(form, kept, found, units)
    if shape == "body":
        return _outer_body(form, kept, units)
    usual = new_section(shape, units).sizes
    return {"shape": shape, **{name: usual[name] for name in names}, **kept, **found}


def _plate(form: Mapping[str, str], kept: Mapping[str, Any], found: Mapping[str, float], units: str) -> dict[str, Any]:
    usual = new_section("plate", units).sizes
    plate = {"shape": "plate", **kept, "thickness": found.get("thickness", kept.get("thickness", usual["thickness"]))}
    if "corners" in form:
        plate["outline"] = corners_typed(form["corners"], units)
    elif "long" in found or "wide" in found or "outline" not in kept:
        there = rectangle_of(kept.get("outline")) or (usual["long"], usual["wide"])
        long, wide = found.get("long", there[0]), found.get("wide", there[1])
        plate["outline"] = [[0, 0], [long, 0], [long, wide], [0, wide]]
    return plate


def _outer_body(form: Mapping[str, str], kept: Mapping[str, Any], units: str) -> dict[str, Any]:
    if "corners" in form:
        return {"shape": "body", **kept, "outline": corners_typed(form["corners"], units)}
    if "outline" not in kept:
        raise InvalidDocument([Fault("/corners", "an outer body without an outline", "its corners, one a line")])
    return {"shape": "body", **kept}


def rectangle_of(outline: Any) -> tuple[float, float] | None:
    """Return a plate's length and width if its outline is the rectangle a form makes of them, None for any other."""
    try:
        (a, b, c, d) = outline
        if list(a) == [0, 0] and b[1] == 0 and c == [b[0], d[1]] and d[0] == 0 and min(b[0], d[1]) > 0:
            return b[0], d[1]
    except (TypeError, ValueError, IndexError, KeyError):
        pass
    return None


def corners_typed(text: str, units: str) -> list[list[float]]:
    """Return the corners of an outline, typed one a line as two lengths with blanks between them; raises InvalidDocument."""
    if len(text) > MOST_CORNERS_TEXT:
        raise InvalidDocument([Fault("/corners", f"{len(text):,} characters", f"at most {MOST_CORNERS_TEXT:,}")])
    corners, faults = [], []
    for number, line in enumerate(filter(None, map(str.strip, text.splitlines())), 1):
        words = line.replace(";", " ").split()
        try:
            if len(words) != 2:
                raise InvalidDocument([Fault("", f"{shown(line)} is no corner", "two lengths with a blank between them")])
            corners.append([read_length(word, units) for word in words])
        except InvalidDocument as bad:
            faults += [Fault("/corners", f"line {number}: {fault.wrong}", fault.accepted) for fault in bad.faults]
    refuse(faults)
    return corners
