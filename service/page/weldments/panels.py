"""The forms of what is picked: each with its values, its choices and its faults."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

from inventory.errors import Fault
from service.page.forms import Form
from service.page.weldments.chosen import Chosen, DraftFault
from service.weldments.drafted_weldment import DraftedWeldment
from service.weldments.edited import free_name
from service.weldments.following.placed_parts import touching
from service.weldments.lengths import plain_number, typed
from service.weldments.placings import placing_of
from service.weldments.requirements import CLASSES, face_key
from service.weldments.section_forms import SHAPES, SIZE_WORDS, STARTED, new_section, rectangle_of, sizes_of
from service.weldments.welds import IN_FIXTURE
from solver.drafting import NamedFace, Placing, described_by, faces
from solver.standards.section_sizes import size_table
from solver.weldment import LEGGED, WELD_KINDS, Part

Choices = Sequence[tuple[str, str]]


@dataclass(slots=True)
class Panel:
    """One form: what it does, its values and faults, and what can be chosen in it."""

    do: str
    form: Form
    choices: dict[str, Choices] = field(default_factory=dict)
    words: dict[str, str] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class Sent:
    """A form as it was sent, with what was wrong with it; `refused` if nothing was changed for that."""

    do: str
    form: Form
    refused: bool = False


def panels(drafted: DraftedWeldment, chosen: Chosen, sent: Sent | None, faults: Iterable[DraftFault]) -> dict[str, Panel]:
    """Return the forms of what is picked, by what they do."""
    made: list[Panel] = []
    here = [
        Fault(f"/{each.field}", each.fault.wrong, each.fault.accepted) for each in faults if each.about == chosen and each.field
    ]
    if chosen.kind == "new":
        made = [_new_part(drafted, sent)]
    elif chosen.kind == "part":
        made = _of_part(drafted, chosen.number, sent)
    elif chosen.kind == "weld":
        made = [_weld(drafted, chosen.number, sent)]
    elif chosen.kind == "tolerance":
        made = [_tolerance(drafted, chosen.number)]
    elif chosen.kind == "open":
        made = [_open(drafted, chosen.number)]
    for panel in made[:1]:
        panel.form.faults += here
    for panel in made:
        if sent is not None and sent.refused and sent.do == panel.do:
            panel.form = sent.form
    return {panel.do: panel for panel in made}


def _form(values: Mapping[str, object]) -> Form:
    return Form.of((name, typed(value) if not isinstance(value, str) else value) for name, value in values.items())


def _parts(drafted: DraftedWeldment, but: str | None = None) -> Choices:
    return [(part.id, part.id) for part in drafted.parts_with_faces if part.id != but]


def _faces(there: Iterable[NamedFace]) -> Choices:
    return [(each.key, each.words) for each in there]


def _materials() -> Choices:
    return [(material, material) for material in ("steel", "stainless", "aluminium")]


def _sizes(shape: str, units: str) -> Choices:
    table = size_table(shape, units)
    return [] if table is None else [(size.name, size.name) for size in table.sizes]


def _new_part(drafted: DraftedWeldment, sent: Sent | None) -> Panel:
    given = {} if sent is None else {name: sent.form.raw(name) for name in sent.form.names()}
    usual = new_section(given.get("shape", ""), drafted.units)
    ids = [entry.get("id") for entry in drafted.entries("parts")]
    values: dict[str, object] = {
        "shape": usual.shape, "size": usual.standard.name if usual.standard else "", **usual.sizes, "length": usual.length,
        "material": "steel", "id": free_name(SHAPES[usual.shape][1], ids), "on": "",
    }  # fmt: skip
    under = drafted.parts_with_faces
    if under:
        last = drafted.entries("parts")[-1].get("material")
        values["on"], values["material"] = under[0].id, last if isinstance(last, str) else "steel"
    on: Choices = [("", "beside nothing: at the origin"), *_parts(drafted)] if under else []
    shapes = [(shape, SHAPES[shape][0]) for shape in STARTED]
    choices = {"material": _materials(), "size": _sizes(usual.shape, drafted.units), "on": on, "shape": shapes}
    return Panel("add-part", _form(values), choices, {"source": usual.table.source if usual.table else ""})


def _of_part(drafted: DraftedWeldment, index: int, sent: Sent | None) -> list[Panel]:
    entries = drafted.entries("parts")
    if index >= len(entries):
        return []
    made = [_part(entries[index], drafted)]
    part = drafted.parts[index]
    if part is None:
        return made
    others = _parts(drafted, part.id)
    if others and not part.body:
        made.append(_place(drafted, part, sent))
    made.append(Panel("move-part", _form({"x": "", "y": "", "z": ""})))
    made.append(Panel("turn-part", _form({"axis": "z", "degrees": "90"}), {"axis": [(axis, f"about {axis}") for axis in "xyz"]}))
    if part.body:
        return made
    there = _faces(faces(part))
    usual = "0.5" if drafted.units == "mm" else "1/32"
    relative: Choices = [("", "nothing: absolute"), *others]
    values = {"part": part.id, "face": "end", "plus_minus": usual, "relative_to": others[0][0] if others else ""}
    made.append(Panel("add-tolerance", _form(values), {"face": there, "relative_to": relative}))
    low, high = ("-5", "5") if drafted.units == "mm" else ("-1/4", "1/4")
    made.append(Panel("add-open", _form({"part": part.id, "face": "end", "low": low, "high": high}), {"face": there}))
    return made


def _part(entry: Mapping[str, Any], drafted: DraftedWeldment) -> Panel:
    section = entry.get("section")
    section = section if isinstance(section, dict) else {}
    shape = section.get("shape")
    shape = shape if isinstance(shape, str) and shape in SHAPES else "square_tube"
    table = size_table(shape, drafted.units)
    sizes = {name: section.get(name) for name in sizes_of(shape)}
    standard = next((s.name for s in table.sizes if dict(s.sizes) == sizes), "") if table is not None else ""
    if table is not None and "corner_radius" in section:
        standard = ""
    words = {"shape": SHAPES[shape][0], "source": table.source if table else ""}
    values: dict[str, object] = {
        "id": _text(entry.get("id")), "name": _text(entry.get("name")), "material": _text(entry.get("material", "steel")),
        "shape": shape, "size": standard, **sizes, "length": entry.get("length"),
    }  # fmt: skip
    if shape == "plate":
        rectangle = rectangle_of(section.get("outline"))
        values |= {"thickness": section.get("thickness")}
        if rectangle is not None:
            values["long"], values["wide"] = rectangle
        else:
            values = {name: value for name, value in values.items() if name not in ("long", "wide")}
            values["corners"] = _corners(section.get("outline"))
        cutouts = section.get("cutouts")
        words["cutouts"] = str(len(cutouts)) if isinstance(cutouts, list) else ""
    elif shape == "body":
        values["corners"] = _corners(section.get("outline"))
    elif shape in ("square_tube", "rect_tube"):
        values["corner_radius"] = section.get("corner_radius")
    cuts = entry.get("cuts")
    words["cuts"] = str(len(cuts)) if isinstance(cuts, list) and cuts else ""
    return Panel("change-part", _form(values), {"material": _materials(), "size": _sizes(shape, drafted.units)}, words)


def _text(value: object) -> str:
    return value if isinstance(value, str) else typed(value)


def _corners(outline: object) -> str:
    if not isinstance(outline, list):
        return ""
    return "\n".join(" ".join(map(typed, point)) if isinstance(point, list) else typed(point) for point in outline)


def size_names(form: Form) -> list[tuple[str, str]]:
    """Return the sizes a form has fields for: names and words."""
    return [(name, SIZE_WORDS[name]) for name in form.names() if name in SIZE_WORDS and name != "length"]


def _place(drafted: DraftedWeldment, part: Part, sent: Sent | None) -> Panel:
    sound = drafted.parts_with_faces
    others = [other for other in sound if other.id != part.id]
    asked = sent.form if sent is not None and sent.do == "place-part" else Form({})
    target = next((other for other in others if other.id == asked.raw("on")), None)
    earlier = others[: next(k for k, each in enumerate(sound) if each.id == part.id)]
    under = next((other for other in earlier if touching(part, other) is not None), None)
    placed = "yes" if under is not None or target is not None else ""
    if target is None:
        target = under or others[0]
    placing = _as_asked(part, target, asked) or placing_of(part, target)
    own, on = {face.key: face for face in faces(part)}, {face.key: face for face in faces(target)}
    there = on[placing.on_face]
    units = drafted.units
    values: dict[str, object] = {
        "on": target.id, "face": placing.part_face, "on_face": placing.on_face, "turn": plain_number(placing.turn, "mm"),
        "was_on": target.id, "was_face": placing.part_face, "was_on_face": placing.on_face,
        "gap": plain_number(placing.gap_mm / drafted.mm_per_unit, units), "flush": "yes" if placing.flush else "no",
    }  # fmt: skip
    choices: dict[str, Choices] = {"on": [(other.id, other.id) for other in others], "face": _faces(own.values())}
    choices["on_face"] = _faces(on.values())
    choices["flush"] = [("no", "against"), ("yes", "flush with")]
    for name, offset, (low, high) in (("along", placing.along, there.along_ends), ("across", placing.across, there.across_ends)):
        values |= {f"{name}_edge": offset.to_edge, f"{name}_to": offset.from_edge}
        values[f"{name}_by"] = plain_number(offset.distance_mm / drafted.mm_per_unit, units)
        choices[name] = [("low", f"{low} edge"), ("middle", "middle"), ("high", f"{high} edge")]
    ways = {name: f"{low} to {high}" for name, (low, high) in (("along", there.along_ends), ("across", there.across_ends))}
    highs = {"high_along": there.along_ends[1], "high_across": there.across_ends[1]}
    return Panel("place-part", _form(values), choices, {"placed": placed, "target": target.id, **ways, **highs})


def _as_asked(part: Part, target: Part, asked: Form) -> Placing | None:
    """Return how a part lies by the faces a form named, None if it does not lie by them."""
    try:
        return described_by(part, target, asked.raw("face"), asked.raw("on_face"))
    except KeyError:
        return None


def _weld(drafted: DraftedWeldment, index: int, sent: Sent | None) -> Panel:
    entries = drafted.entries("welds")
    entry = entries[index] if index < len(entries) else {}
    measure = "throat" if entry.get("throat") is not None else "leg" if entry.get("kind") in LEGGED else "throat"
    values: dict[str, object] = {
        "id": _text(entry.get("id")), "kind": _text(entry.get("kind")), "measure": measure, "size": entry.get(measure),
        "in_fixture": _text(entry.get("in_fixture", "full")), "process": _text(entry.get("process")),
        "which": sent.form.raw("which", "this") if sent is not None else "this",
    }  # fmt: skip
    choices: dict[str, Choices] = {
        "kind": [(kind, kind) for kind in WELD_KINDS], "in_fixture": list(IN_FIXTURE.items()),
        "measure": [("leg", "leg"), ("throat", "throat")] if entry.get("kind") in LEGGED else [("throat", "throat")],
        "which": [("this", "this weld"), ("joint", "all welds between its two parts"), ("all", "all welds")],
    }  # fmt: skip
    parts = entry.get("parts")
    between = " and ".join(map(_text, parts)) if isinstance(parts, list) else ""
    return Panel("change-weld", _form(values), choices, {"between": between})


def _tolerance(drafted: DraftedWeldment, index: int) -> Panel:
    entries = drafted.entries("tolerances")
    entry = entries[index] if index < len(entries) else {}
    tolerance = drafted.tolerances[index] if index < len(entries) else None
    values: dict[str, object] = {
        "part": _text(entry.get("part")), "face": (face_key(drafted, tolerance) or "") if tolerance else "",
        "iso13920": _text(entry.get("iso13920")), "plus_minus": entry.get("plus_minus"), "length": entry.get("length"),
        "relative_to": _text(entry.get("relative_to")),
    }  # fmt: skip
    choices = _where(drafted, entry)
    choices["relative_to"] = [("", "nothing: absolute"), *_parts(drafted, _text(entry.get("part")))]
    choices["iso13920"] = [("", "a number"), *((each, f"ISO 13920, class {each}") for each in CLASSES)]
    return Panel("change-tolerance", _form(values), choices)


def _open(drafted: DraftedWeldment, index: int) -> Panel:
    entries = drafted.entries("open_dimensions")
    entry = entries[index] if index < len(entries) else {}
    dimension = drafted.open_dimensions[index] if index < len(entries) else None
    there = entry.get("range")
    low, high = there if isinstance(there, list) and len(there) == 2 else (None, None)
    values: dict[str, object] = {
        "part": _text(entry.get("part")), "face": (face_key(drafted, dimension) or "") if dimension else "",
        "low": low, "high": high,
    }  # fmt: skip
    return Panel("change-open", _form(values), _where(drafted, entry))


def _where(drafted: DraftedWeldment, entry: Mapping[str, Any]) -> dict[str, Choices]:
    part = drafted.part(entry.get("part"))
    other: Choices = [("", "as in the document")]
    return {"part": _parts(drafted), "face": [*other, *_faces(faces(part))] if part is not None else other}
