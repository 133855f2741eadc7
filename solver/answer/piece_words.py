"""Pieces in the trade's words: what an item is called in a list, and where a piece stands: which part, which side of it."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Mapping

from solver.plans import Alternative, KitLine, PlacedContact, Placement

Pieces = dict[str, Counter[str]]
"""By item, in how many places of each sort its pieces stand."""
SIDES = {(0, 1): "left", (0, -1): "right", (1, 1): "near", (1, -1): "far"}
"""The side of a part a level pad stands at, by the axis along which it presses most and the sign: the fitter stands at y = 0."""


def names_of(lines: Iterable[KitLine]) -> Mapping[str, str]:
    """Return what each item is called: the first words of its name, more where two items would be called alike."""
    names = {line.item: line.name or line.item for line in lines}
    short = {item: _lowered(name.split(",")[0].strip() or item) for item, name in names.items()}
    whole = {item: name if list(short.values()).count(short[item]) > 1 else short[item] for item, name in names.items()}
    return {item: f"{name} ({item})" if list(whole.values()).count(name) > 1 else name for item, name in whole.items()}


def pieces_of(alternative: Alternative) -> Pieces:
    """Return every piece on the table by item and the place where it stands, in words."""
    found: Pieces = {}
    for placement in alternative.placements:
        found.setdefault(placement.item, Counter())[place_of(placement)] += 1
    return found


def place_of(placement: Placement) -> str:
    """Return where a piece stands in words: ``at the near side of rail``, ``under lug``, ``on top of post``."""
    if not placement.contacts:
        return "under another piece"
    roles = dict(placement.locates)
    by_part: dict[str, PlacedContact] = {}
    for contact in placement.contacts:
        by_part.setdefault(contact.part, contact)
    return " and ".join(_at(contact, roles.get(part, "")) for part, contact in by_part.items())


def _at(contact: PlacedContact, role: str) -> str:
    x, y, z = contact.normal
    if abs(z) > max(abs(x), abs(y)):
        return f"under {contact.part}" if z > 0 else f"on top of {contact.part}"
    axis = int(abs(y) > abs(x))
    side = SIDES[axis, 1 if (x, y)[axis] > 0 else -1]
    return f"at the {side} {'end' if role == 'end' else 'side'} of {contact.part}"


def _lowered(name: str) -> str:
    """Return a name as it reads within a sentence: ``Low stop`` -> ``low stop``, ``V-block`` as it is."""
    return name[0].lower() + name[1:] if name[1:2].islower() else name
