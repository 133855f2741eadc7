"""Edits of welds: added on proposed seams, changed, removed."""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping, Sequence
from functools import lru_cache
from typing import Any

from inventory.errors import Fault, InvalidDocument, refuse
from inventory.limits import WELDS, one_of_faults
from service.weldments.drafted_weldment import DraftedWeldment
from service.weldments.edited import Edited, Editing, directions, named, next_weld_id
from service.weldments.lengths import plain_number, read_length
from solver.drafting import Seam, seams, welds_on_seams
from solver.weldment import LEGGED, WELD_KINDS, Part

SIXTEENTH_MM = 25.4 / 16
_THROAT_OF_LEG = 0.7
IN_FIXTURE: Mapping[str, str] = {
    "full": "all of it in the fixture", "tack": "tacked in the fixture, welded later", "none": "not in the fixture",
}  # fmt: skip
"""How much of a weld is made in the fixture, in words."""


def proposed(drafted: DraftedWeldment) -> tuple[tuple[int, Seam], ...]:
    """Return the seams where sound parts touch that carry no weld yet, each with its number among all."""
    welds = [weld for weld in drafted.welds if weld is not None]
    found = _seams(drafted.sound_parts)
    there = welds_on_seams(found, welds)
    return tuple((number, seam) for number, (seam, weld) in enumerate(zip(found, there, strict=True)) if weld is None)


@lru_cache(maxsize=64)
def _seams(parts: tuple[Part, ...]) -> tuple[Seam, ...]:
    return tuple(seams(parts))


def add_welds(
    document: Mapping[str, Any], numbers: Iterable[int] | None = None, between: Sequence[str] = (), kind: str = ""
) -> Edited:
    """Weld proposed seams: those of some numbers, all between two parts, all of a kind, or all there are.

    Raises
    ------
    InvalidDocument
        There is no such seam, or there would be too many welds.
    """
    edit = Editing(document)
    open_seams = dict(proposed(edit.drafted))
    wanted = None if numbers is None else list(dict.fromkeys(numbers))
    if wanted is not None:
        gone = [number for number in wanted if number not in open_seams]
        refuse([Fault("/seam", "there is no such seam any more", "a seam where parts touch and no weld is")] if gone else [])
    chosen = [open_seams[number] for number in (open_seams if wanted is None else wanted)]
    if between:
        chosen = [seam for seam in chosen if set(seam.parts) == set(between)]
    if kind:
        chosen = [seam for seam in chosen if seam.kind == kind]
    welds = edit.entries("welds")
    if not chosen:
        raise InvalidDocument([Fault("/seam", "no seam is left to weld", "parts that touch, and no weld yet where they do")])
    if len(welds) + len(chosen) > WELDS:
        raise InvalidDocument([Fault("/seam", f"{len(welds) + len(chosen)} welds", f"at most {WELDS} welds")])
    for seam in chosen:
        welds.append(_weld(edit, seam))
    what = f"welded {chosen[0].place}" if len(chosen) == 1 else f"welded {len(chosen)} seams"
    return edit.done(what, ("welds", len(welds) - 1) if len(chosen) == 1 else None)


def _weld(edit: Editing, seam: Seam) -> dict[str, Any]:
    welds = edit.entries("welds")
    usual = welds[-1] if welds else {}
    made: dict[str, Any] = {
        "id": next_weld_id(weld.get("id") for weld in welds), "parts": list(seam.parts),
        "path": [edit.lengths(point) for point in seam.path], "kind": seam.kind,
    }  # fmt: skip
    for name, mm in (("leg", seam.leg), ("throat", seam.throat)):
        if mm is not None:
            made[name] = _bead(mm, edit)
    if seam.side is not None:
        made["side"] = directions(seam.side)
    made["in_fixture"] = usual.get("in_fixture", "full") if usual.get("in_fixture") in IN_FIXTURE else "full"
    if isinstance(usual.get("process"), str) and usual["process"]:
        made["process"] = usual["process"]
    return made


def _bead(mm: float, edit: Editing) -> float:
    """Return a bead's size in the draft's units, in inches rounded up to a sixteenth."""
    if edit.units == "mm":
        return plain_number(mm, "mm")
    return plain_number(math.ceil(mm / SIXTEENTH_MM - 1e-6) / 16, "inch")


def change_weld(document: Mapping[str, Any], index: int, form: Mapping[str, str]) -> Edited:
    """Change a weld's kind, size, process, and how much of it is made in the fixture; or those of all, or of all of its joint.

    Parameters
    ----------
    form : mapping
        ``id``; ``kind``; ``measure``: ``leg`` or ``throat``; ``size``, a length; ``in_fixture``; ``process``; ``which``:
        ``this``, ``joint`` or ``all``. What is not there stays.

    Raises
    ------
    InvalidDocument
        What cannot be read, at ``/`` and the field's name.
    """
    edit = Editing(document)
    entry = edit.entry("welds", index)
    kind = form.get("kind", str(entry.get("kind", "fillet")))
    faults = list(one_of_faults("/kind", kind, WELD_KINDS)) if "kind" in form else []
    if "in_fixture" in form:
        faults += one_of_faults("/in_fixture", form["in_fixture"], tuple(IN_FIXTURE))
    measure = form.get("measure", "throat" if "throat" in entry and entry["throat"] is not None else "leg")
    faults += one_of_faults("/measure", measure, ("leg", "throat"))
    size = None
    if form.get("size", "").strip():
        try:
            size = read_length(form["size"], edit.units, "/size")
        except InvalidDocument as bad:
            faults += bad.faults
    refuse(faults)
    if "id" in form:
        entry["id"] = form["id"].strip()
    which = form.get("which", "this")
    changed = [entry]
    if which in ("joint", "all"):
        ends = _ends(entry)
        changed = [each for each in edit.entries("welds") if which == "all" or _ends(each) == ends]
    for each in changed:
        if "kind" in form:
            each["kind"] = kind
        if "size" in form:
            _set_size(each, measure, size)
        if "in_fixture" in form:
            each["in_fixture"] = form["in_fixture"]
        if "process" in form:
            each["process"] = form["process"].strip()
    many = f" and {len(changed) - 1} more" if len(changed) > 1 else ""
    words = f"changed {named(entry, 'a weld')}{many}" if edit.document != document else ""
    return edit.done(words, ("welds", index))


def _set_size(weld: dict[str, Any], measure: str, size: float | None) -> None:
    """Give a weld its size; a kind that has no leg has a throat instead, 0.7 of the leg it had."""
    legged = weld.get("kind") in LEGGED
    if measure == "leg" and not legged:
        measure = "throat"
        size = size if size is None or "leg" not in weld else plain_number(round(_THROAT_OF_LEG * size, 1), "mm")
    weld.pop("leg", None)
    weld.pop("throat", None)
    if size is not None:
        weld[measure] = size


def _ends(weld: Mapping[str, Any]) -> frozenset[str]:
    parts = weld.get("parts")
    return frozenset(map(str, parts)) if isinstance(parts, list) else frozenset()


def remove_weld(document: Mapping[str, Any], index: int, which: str = "this") -> Edited:
    """Remove a weld, with ``joint`` all between its two parts, with ``all`` every one."""
    edit = Editing(document)
    entry = edit.entry("welds", index)
    welds, ends = edit.entries("welds"), _ends(entry)
    there = len(welds)
    kept = [weld for weld in welds if weld is not entry and which != "all" and (which != "joint" or _ends(weld) != ends)]
    welds[:] = kept
    gone = there - len(kept)
    return edit.done(f"removed {named(entry, 'a weld')}" if gone == 1 else f"removed {gone} welds")
