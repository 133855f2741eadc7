"""What each piece does, in words: which role it has at which face of which part, what it clamps, what stands on it."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence

import numpy as np

from inventory.items import KINDS
from service.drawings.subject import Subject
from solver.first_article.face_words import face_words
from solver.plans import PlacedContact, Placement
from solver.weldment import Part


def duties(subject: Subject) -> Mapping[str, str]:
    """Return what each piece does, by its id: ``side at the near side of rail``, ``clamps the top of lug``, ``carries p6``.

    Faces are said as the weldment lies, seen from the table's front.

    Raises
    ------
    KeyError
        If the alternative names an item the stock does not have.
    """
    alternative = subject.alternative
    parts = {part.id: part for part in subject.request.weldment.parts}
    on_top: dict[str, list[str]] = {}
    for placement in alternative.placements:
        if placement.stands_on is not None:
            on_top.setdefault(placement.stands_on, []).append(placement.id)
    found = {}
    for placement in alternative.placements:
        clamps = KINDS[subject.stock.items[placement.item].kind].purpose == "clamp"
        said = list(_at_parts(placement, clamps, parts))
        if carried := on_top.get(placement.id):
            said.append(f"carries {_listed(carried)}")
        found[placement.id] = "; ".join(said)
    return found


def _at_parts(placement: Placement, clamps: bool, parts: Mapping[str, Part]) -> Iterator[str]:
    """Yield what a piece does at each part it meets or locates."""
    roles: dict[str, list[str]] = {}
    faces: dict[str, list[str]] = {}
    for id, role in placement.locates:
        roles.setdefault(id, []).append(role)
    for contact in placement.contacts:
        known = faces.setdefault(contact.part, [])
        words = _face(contact, parts)
        if words not in known:
            known.append(words)
    for id in dict.fromkeys((*roles, *faces)):
        locates = _listed(roles.get(id, ()))
        does = f"{locates} at" if locates else "clamps" if clamps else "touches"
        yield f"{does} {_listed(faces[id])}" if id in faces else f"{locates} of {id}"


def _face(contact: PlacedContact, parts: Mapping[str, Part]) -> str:
    """Return the face a contact is at, in words; of a part the request does not have, by its label."""
    part = parts.get(contact.part)
    outward = -np.array(contact.normal, dtype=float)
    return f"{contact.face} of {contact.part}" if part is None else face_words(part, contact.face, outward)


def _listed(words: Sequence[str]) -> str:
    """Return words as a sentence lists them: ``support, side and end``."""
    *before, last = words or ("",)
    return f"{', '.join(before)} and {last}" if before else last
