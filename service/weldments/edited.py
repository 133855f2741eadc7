"""What an edit makes of a document: the document after it, and in words what it did."""

from __future__ import annotations

import copy
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from itertools import count
from typing import Any

from inventory.errors import Fault, InvalidDocument
from inventory.limits import shown
from service.weldments.drafted_weldment import DraftedWeldment, drafted_weldment
from service.weldments.lengths import plain_number
from solver.weldment import Pose

NAMES: Mapping[str, str] = {"parts": "part", "welds": "weld", "tolerances": "tolerance", "open_dimensions": "open dimension"}
"""What one entry of each list is called."""


@dataclass(frozen=True, slots=True)
class Edited:
    """A document after an edit; `chosen` is what is worth looking at then: a list's name and a number in it."""

    document: dict[str, Any]
    words: str
    chosen: tuple[str, int] | None = None


class Editing:
    """A copy of a document that an edit works on.

    Parameters
    ----------
    document : dict
        The draft's document; it stays as it is.
    """

    def __init__(self, document: Mapping[str, Any]) -> None:
        self.before = drafted_weldment(document)
        """The weldment as it stood before the edit."""
        self.document: dict[str, Any] = copy.deepcopy(dict(document))
        given = self.document.get("weldment")
        self.weldment: dict[str, Any] = given if isinstance(given, dict) else {}
        self.document["weldment"] = self.weldment

    @property
    def drafted(self) -> DraftedWeldment:
        """The weldment as it stands now, read anew."""
        return drafted_weldment(self.document)

    @property
    def units(self) -> str:
        """The unit of its lengths."""
        return self.drafted.units

    def entries(self, name: str) -> list[dict[str, Any]]:
        """Return one of the weldment's lists, to be changed in place; made if it is not there."""
        found = self.weldment.get(name)
        if not isinstance(found, list):
            found = self.weldment[name] = []
        return found

    def entry(self, name: str, index: int) -> dict[str, Any]:
        """Return an entry of a list; raises InvalidDocument if it is not there."""
        entries = self.entries(name)
        if not 0 <= index < len(entries):
            there = f"1 to {len(entries)}" if entries else f"a draft with {NAMES[name]}s"
            raise InvalidDocument([Fault(f"/{name}/{index}", f"there is no {NAMES[name]} {index + 1} any more", there)])
        return entries[index]

    def done(self, words: str, chosen: tuple[str, int] | None = None) -> Edited:
        """Return what the edit came to."""
        return Edited(self.document, words, chosen)

    def lengths(self, mm: Iterable[float]) -> list[float]:
        """Return millimetres as numbers of the draft's units."""
        drafted = self.drafted
        return [plain_number(value / drafted.mm_per_unit, drafted.units) for value in mm]

    def pose(self, pose: Pose) -> dict[str, Any]:
        """Return a pose as the document keeps it."""
        return {"at": self.lengths(pose.at), "along": directions(pose.along), "up": directions(pose.up)}


def directions(direction: Sequence[float]) -> list[float]:
    """Return a direction without what rounding left behind the ninth decimal."""
    return [plain_number(round(value, 9), "inch") for value in direction]


def free_name(wanted: str, taken: Iterable[object]) -> str:
    """Return a name that is not taken yet: as wanted, or with the next number behind it."""
    there = set(map(str, taken))
    return next(name for name in (wanted, *(f"{wanted}-{k}" for k in range(2, len(there) + 3))) if name not in there)


def next_weld_id(taken: Iterable[object]) -> str:
    """Return the next free id of a weld: w1, w2 and so on."""
    there = set(map(str, taken))
    return next(name for k in count(1) if (name := f"w{k}") not in there)


def named(entry: Mapping[str, Any], fallback: str) -> str:
    """Return an entry's id as short text."""
    id = entry.get("id")
    return shown(id).strip("'") if isinstance(id, str) and id else fallback
