"""What each piece does, in words: which role it has at which face of which part, what it clamps, what stands on it."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence

from inventory.items import KINDS
from inventory.stock import StockSnapshot
from solver.plans import Alternative, Placement


def duties(alternative: Alternative, stock: StockSnapshot) -> Mapping[str, str]:
    """Return what each piece does, by its id: ``side of rail, its side:2``, ``clamps lug, its end``, ``carries p6``.

    Raises
    ------
    KeyError
        If the alternative names an item the stock does not have.
    """
    on_top: dict[str, list[str]] = {}
    for placement in alternative.placements:
        if placement.stands_on is not None:
            on_top.setdefault(placement.stands_on, []).append(placement.id)
    found = {}
    for placement in alternative.placements:
        clamps = KINDS[stock.items[placement.item].kind].purpose == "clamp"
        said = list(_at_parts(placement, clamps))
        if carried := on_top.get(placement.id):
            said.append(f"carries {_listed(carried)}")
        found[placement.id] = "; ".join(said)
    return found


def _at_parts(placement: Placement, clamps: bool) -> Iterator[str]:
    roles: dict[str, list[str]] = {}
    faces: dict[str, list[str]] = {}
    for part, role in placement.locates:
        roles.setdefault(part, []).append(role)
    for contact in placement.contacts:
        named = faces.setdefault(contact.part, [])
        if contact.face not in named:
            named.append(contact.face)
    for part in dict.fromkeys((*roles, *faces)):
        locates = _listed(roles.get(part, ()))
        does = f"{locates} of" if locates else "clamps" if clamps else "touches"
        where = f", its {_listed(faces[part])}" if part in faces else ""
        yield f"{does} {part}{where}"


def _listed(words: Sequence[str]) -> str:
    """Return words as a sentence lists them: ``support, side and end``."""
    *before, last = words or ("",)
    return f"{', '.join(before)} and {last}" if before else last
