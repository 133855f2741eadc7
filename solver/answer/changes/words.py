"""Why the hands do what they do to a piece, in the trade's words."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from functools import cached_property

from inventory.stock import StockSnapshot
from inventory.tables import Hole, hole_label
from solver.answer.changes.in_the_way import Spot, in_the_way
from solver.answer.changes.order import Step
from solver.cost import free_pieces
from solver.plans import Alternative, Placement
from solver.request import Request

BACK = "back in its place"
NOT_NEEDED = "no longer needed"


@dataclass(frozen=True)
class Words:
    """What the reasons are taken from: the request, the plan that stands, where each piece stands before and after."""

    request: Request
    stock: StockSnapshot
    keep: Alternative
    before: Mapping[str, Spot]
    after: Mapping[str, Spot]
    stays: frozenset[str]

    def off(self, step: Step) -> str:
        """Return why a piece is taken off: for good, or for a while."""
        spot = self.before[step.piece]
        if step.piece in self.stays or step.room is not None:
            return self._shut_out(spot) or self._for_a_while(step)
        return self._short.get(step.piece) or self._shut_out(spot) or self._without_carrier(spot) or NOT_NEEDED

    def moved(self, piece: str) -> str:
        """Return why a piece that stands is moved, or set anew."""
        before, after = self.before[piece], self.after[piece]
        if before.table != after.table:
            return f"to table {after.table}"
        carried = self._without_carrier(before)
        return self._shut_out(before) or carried or self._new_duty(piece) or self._in_whose_way(before) or self._again(piece)

    def added(self, piece: str, back: bool) -> str:
        """Return why a piece is added: `back` if it stood before."""
        placement = self.after[piece].placement
        if piece in self.stays:
            return BACK
        if back:
            return self.moved(piece)
        gone = next((id for id in self._leaving if _duty(self.before[id].placement) == _duty(placement)), None)
        duty = _named(placement)
        return f"{duty}, in place of {gone}" if gone is not None and _duty(placement) else duty

    def _for_a_while(self, step: Step) -> str:
        carried = self.before[step.piece].placement.stands_on
        if carried is not None and carried not in self.stays:
            return f"stands on {carried}, which moves"
        return f"to make room for {step.room}" if step.room is not None else "to make room"

    def _shut_out(self, spot: Spot) -> str:
        """Return which hole under a piece may not be used any more, "" if all may."""
        shut = sorted(hole for hole in spot.holes if hole in self._closed(spot.table))
        return f"hole {hole_label(shut[0])} is blocked" if shut else ""

    def _closed(self, table: str) -> set[Hole]:
        closed = {hole for name, hole in self.request.without.holes if name in (None, table)}
        return closed | (set(self.stock.tables[table].blocked_holes) if table in self.stock.tables else set())

    def _without_carrier(self, spot: Spot) -> str:
        carrier = spot.placement.stands_on
        if carrier is None or carrier in self.stays:
            return ""
        return f"stands on {carrier}, which {'moves' if carrier in self.after else 'goes'}"

    def _new_duty(self, piece: str) -> str:
        """Return what a piece does that it did not do before, "" if it does what it did."""
        placement = self.after[piece].placement
        same = _duty(self.before[piece].placement) == _duty(placement)
        return "" if same or not _duty(placement) else _named(placement)

    def _in_whose_way(self, spot: Spot) -> str:
        others = (id for id, other in self.after.items() if id != spot.placement.id and id not in self.stays)
        room = next((id for id in others if in_the_way(self.after[id], spot)), None)
        return f"to make room for {room}" if room is not None else ""

    def _again(self, piece: str) -> str:
        before, after = self.before[piece].placement, self.after[piece].placement
        place = (before.hole, before.turn % 360, before.stands_on) == (after.hole, after.turn % 360, after.stands_on)
        return f"{'another setting' if place else 'another place'} for the {_plain(after)}"

    @cached_property
    def _leaving(self) -> tuple[str, ...]:
        return tuple(id for id in self.before if id not in self.after)

    @cached_property
    def _short(self) -> Mapping[str, str]:
        """What is said of pieces that go because there are too few of their item."""
        used = Counter(spot.placement.item for spot in self.before.values())
        said: dict[str, str] = {}
        for item, count in used.items():
            free = free_pieces(self.request, self.stock, item) if item in self.stock.items else 0
            going = [id for id in self._leaving if self.before[id].placement.item == item]
            missing = min(len(going), max(0, count - free))
            broken = min(missing, self.request.without.broken.get(item, 0))
            for place, id in enumerate(going[:missing]):
                said[id] = f"{'broken' if place < broken else 'missing'}: {free} of {count} {item} left"
        return said


def _duty(placement: Placement) -> tuple[tuple[str, str], ...]:
    """Return which parts a piece bears on and as what, in order; nothing for a piece that only carries."""
    located = sorted((part, str(role)) for part, role in placement.locates)
    return tuple(located or sorted({(contact.part, "clamp") for contact in placement.contacts}))


def _named(placement: Placement) -> str:
    """Return what a piece is there for: ``new side point of post``."""
    return f"new {_plain(placement)}" if _duty(placement) else placement.why


def _plain(placement: Placement) -> str:
    duty = _duty(placement)
    if not duty:
        return "piece it carries"
    if all(role == "clamp" for _, role in duty):
        return "clamp on " + _listed(part for part, _ in duty)
    return _listed(f"{role} point of {part}" for part, role in duty)


def _listed(words: Iterable[str]) -> str:
    return " and ".join(words)
