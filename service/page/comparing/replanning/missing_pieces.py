"""What is missing at a table that stands: pieces that are not there, broken or to stay, holes that cannot be used."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any, Literal, get_args

from solver.plans import Alternative

What = Literal["gone", "broken", "keep", "hole"]
WHATS: tuple[What, ...] = get_args(What)
WORDS: Mapping[What, str] = {
    "gone": "is not there",
    "broken": "is broken",
    "keep": "stays exactly as it stands",
    "hole": "cannot be used",
}
MOST = 200


@dataclass(frozen=True, slots=True)
class TableRemark:
    """One thing that was said of the table: `id` is a piece's, or a hole's label; `item` is the piece's."""

    what: What
    id: str
    item: str = ""

    @property
    def text(self) -> str:
        """How forms carry it: ``gone:p3``."""
        return f"{self.what}:{self.id}"

    @property
    def words(self) -> str:
        """What it says: ``p3 (stop-60) is not there``."""
        if self.what == "hole":
            return f"hole {self.id} {WORDS[self.what]}"
        return f"{self.id} ({self.item}) {WORDS[self.what]}"


def entries_of(texts: Iterable[str], one: Alternative, dropped: str = "") -> tuple[TableRemark, ...]:
    """Return what forms carry as entries, the last word on each piece; what names nothing of the alternative is left out."""
    items = {placement.id: placement.item for placement in one.placements}
    found: dict[tuple[bool, str], TableRemark] = {}
    for text in list(texts)[:MOST]:
        what, _, id = text.partition(":")
        known = next((word for word in WHATS if word == what), None)
        if known is None or not id or (known != "hole" and id not in items):
            continue
        key = (known == "hole", id)
        found.pop(key, None)
        found[key] = TableRemark(known, id, "" if known == "hole" else items[id])
    return tuple(entry for entry in found.values() if entry.text != dropped)


def replan_body(entries: Sequence[TableRemark], one: Alternative, request: Mapping[str, Any], recorded: bool) -> dict[str, Any]:
    """Return what a re-plan is asked with.

    Parameters
    ----------
    request : dict
        The request document of the plan that stands: what it was without already is still missing.
    recorded : bool
        Whether the broken pieces are written down in the store, which then no longer counts them as free.
    """
    before = request.get("without") or {}
    items, broken = (Counter(before.get(name) or {}) for name in ("items", "broken"))
    for entry in entries:
        if entry.what == "gone" or (entry.what == "broken" and not recorded):
            items[entry.item] += 1
        if entry.what == "broken" and not recorded:
            broken[entry.item] += 1
    holes = [f"{one.table}/{entry.id}" for entry in entries if entry.what == "hole"]
    body: dict[str, Any] = {"rank": one.rank, "without": {"items": dict(items), "broken": dict(broken), "holes": holes}}
    pins = [{"piece": entry.id} for entry in entries if entry.what == "keep"]
    if pins:
        body["changes"] = {"pins": [*(request.get("pins") or ()), *pins]}
    return body


def broken_items(entries: Iterable[TableRemark]) -> Mapping[str, int]:
    """Return how many pieces of each item are said to be broken."""
    return Counter(entry.item for entry in entries if entry.what == "broken")
