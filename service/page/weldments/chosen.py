"""What is picked on the screen of a draft, and where on it a fault of the draft shows."""

from __future__ import annotations

import re
from dataclasses import dataclass
from typing import Any

from inventory.errors import Fault
from service.weldments.drafted_weldment import DraftedWeldment
from service.weldments.edited import named

LISTS = {"part": "parts", "weld": "welds", "tolerance": "tolerances", "open": "open_dimensions"}
"""What can be picked of the document, and the list it stands in."""
_PICKED = re.compile(r"(part|weld|tolerance|open|seam):(\d{1,6})")
_FIELDS = {
    "section": "size", "length": "length", "id": "id", "name": "name", "material": "material", "leg": "size", "throat": "size",
    "kind": "kind", "in_fixture": "in_fixture", "process": "process", "parts": "kind", "plus_minus": "plus_minus", "part": "part",
    "relative_to": "relative_to", "iso13920": "iso13920", "point": "face", "direction": "face", "range": "low", "pose": "on",
}  # fmt: skip


@dataclass(frozen=True, slots=True)
class Chosen:
    """What is picked: ``part``, ``weld``, ``tolerance``, ``open``, ``seam`` with its number, or ``new``: a part to be added."""

    kind: str = "new"
    number: int = 0

    def __str__(self) -> str:
        return self.kind if self.kind == "new" else f"{self.kind}:{self.number}"

    @property
    def list(self) -> str | None:
        """The document's list it stands in, None if it stands in none."""
        return LISTS.get(self.kind)

    def entry(self, drafted: DraftedWeldment) -> dict[str, Any] | None:
        """Return its entry in the document, None if there is none."""
        entries = drafted.entries(self.list) if self.list else []
        return entries[self.number] if self.number < len(entries) else None


def chosen_of(text: str) -> Chosen:
    """Return what an address or a form says is picked; what says nothing that can be is a new part."""
    matched = _PICKED.fullmatch(text)
    return Chosen(matched[1], int(matched[2])) if matched else Chosen()


def chosen_in(pair: tuple[str, int] | None) -> Chosen | None:
    """Return what an edit says is worth looking at."""
    kinds = {name: kind for kind, name in LISTS.items()}
    return None if pair is None else Chosen(kinds[pair[0]], pair[1])


@dataclass(frozen=True, slots=True)
class DraftFault:
    """One fault of a draft: what it is about and which field of that one's form it stands at; None where it stands at none."""

    fault: Fault
    about: Chosen | None
    field: str | None
    subject: str


def placed_fault(fault: Fault, drafted: DraftedWeldment) -> DraftFault:
    """Return where a fault of the weldment shows on the screen."""
    _, name, *rest = [*fault.pointer.split("/"), ""]
    kinds = {name: kind for kind, name in LISTS.items()}
    if name not in kinds or not rest or not rest[0].isdigit():
        return DraftFault(fault, None, name if name in ("name", "units") else None, name.replace("_", " ") or "the weldment")
    about = Chosen(kinds[name], int(rest[0]))
    entry = about.entry(drafted) or {}
    subject = f"{'open dimension' if about.kind == 'open' else about.kind} {named(entry, str(about.number + 1))}"
    return DraftFault(fault, about, _field(about.kind, rest[1:], entry), subject)


def _field(kind: str, steps: list[str], entry: dict[str, Any]) -> str | None:
    steps = [step for step in steps if step]
    if not steps:
        return None
    if steps[0] == "section" and len(steps) > 1:
        return "corners" if steps[1] in ("outline", "cutouts") else steps[1]
    if steps[0] == "range" and len(steps) > 1:
        return "high" if steps[1] == "1" else "low"
    return _FIELDS.get(steps[0])
