"""The change list of a re-plan: every step of the hands with its place before and after, and why."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import cast

from inventory.stock import StockSnapshot
from solver.answer.changes.in_the_way import Spot, in_the_way, passes, spot_of
from solver.answer.changes.order import BEFORE, Hands, Standing, Step, When
from solver.answer.changes.words import Words
from solver.plans import Alternative, Change, Handling, Placement
from solver.request import Request


def change_list(
    request: Request, stock: StockSnapshot, keep: Alternative, table: str, placements: Sequence[Placement]
) -> tuple[Change, ...]:
    """Return what the hands do, one step after another, to make new placements on a table of the plan that stands."""
    thickness = stock.tables[table].thickness
    before, after = (
        {placed.id: spot_of(placed, stock.items.get(placed.item), on, thickness) for placed in pieces}
        for on, pieces in ((keep.table, keep.placements), (table, placements))
    )
    spots = _Spots(before, after)
    words = Words(request, stock, keep, before, after, spots.stays)
    at: dict[str, Placement | None] = {placed.id: placed for placed in keep.placements}
    found: list[Change] = []
    for step in Hands(Standing(spots.carriers_before, spots.carriers_after, spots.stays, spots.blocks)).steps():
        stood = at.get(step.piece)
        at[step.piece] = None if step.do == "take_off" else after[step.piece].placement
        found.append(_change(step, stood, at[step.piece], spots, words))
    return tuple(found)


def _change(step: Step, stood: Placement | None, stands: Placement | None, spots: _Spots, words: Words) -> Change:
    """Return one step in full: where the piece stood, where it stands then, and why."""
    handled = stands or stood
    assert handled is not None
    if stands is None:
        do, why = "take_off", words.off(step)
    elif stood is None:
        do, why = "add", words.added(step.piece, back=step.piece in spots.before)
    else:
        do, why = "set" if spots.is_set(step.piece) else "move", words.moved(step.piece)
    return Change(
        do=cast(Handling, do), piece=step.piece, item=handled.item, why=why,
        hole_before=None if stood is None else stood.hole, stands_on_before=None if stood is None else stood.stands_on,
        hole=None if stands is None else stands.hole, stands_on=None if stands is None else stands.stands_on,
        turn=None if stands is None else stands.turn, setting_mm=None if stands is None else stands.setting_mm,
    )  # fmt: skip


def _carriers(spots: Mapping[str, Spot]) -> dict[str, str | None]:
    return {id: on if (on := spot.placement.stands_on) in spots else None for id, spot in spots.items()}


@dataclass(frozen=True)
class _Spots:
    """Where each piece stands before and after; pieces on each other are never in each other's way."""

    before: Mapping[str, Spot]
    after: Mapping[str, Spot]

    @cached_property
    def carriers_before(self) -> Mapping[str, str | None]:
        """What each piece of the plan that stands stands on, None: the table, or nothing that plan lists."""
        return _carriers(self.before)

    @cached_property
    def carriers_after(self) -> Mapping[str, str | None]:
        """What each piece of the new plan stands on."""
        return _carriers(self.after)

    @cached_property
    def stays(self) -> frozenset[str]:
        """The pieces whose item, table, place, turn and setting are what they were, and that of all they stand on."""
        return frozenset(id for id in self.before if id in self.after and self._same(id))

    def _same(self, id: str) -> bool:
        one, other = self.before[id], self.after[id]
        carrier = other.placement.stands_on
        same = one.table == other.table and _standing(one.placement) == _standing(other.placement)
        return same and (carrier is None or (carrier in self.before and self._same(carrier)))

    def is_set(self, id: str) -> bool:
        """Whether a piece stands where it stood, on what stays, with another setting."""
        if id not in self.before or id not in self.after:
            return False
        one, other = self.before[id], self.after[id]
        carrier = other.placement.stands_on
        same = one.table == other.table and _standing(one.placement)[:-1] == _standing(other.placement)[:-1]
        return same and (carrier is None or self._same(carrier)) and not self._same(id)

    def blocks(self, piece: str, when: When, other: str, then: When) -> bool:
        """Return whether `other`, standing where it is `then`, keeps a piece from coming to where it is `when`, or leaving it."""
        at, hindering = self._spot(piece, when), self._spot(other, then)
        if self._stacked(piece, when, other, then) or self._stacked(other, then, piece, when):
            return False
        if self.is_set(piece):
            return passes(self.before[piece], self.after[piece], hindering)
        return in_the_way(at, hindering)

    def _spot(self, piece: str, when: When) -> Spot:
        return (self.before if when == BEFORE else self.after)[piece]

    def _stacked(self, upper: str, when: When, lower: str, then: When) -> bool:
        """Whether one of two pieces stands on the other, each where it is then."""
        if when != then and lower not in self.stays:
            return False
        carriers = self.carriers_before if when == BEFORE else self.carriers_after
        below = carriers[upper]
        while below is not None and below != lower:
            below = carriers[below]
        return below == lower


def _standing(placement: Placement) -> tuple[str, str | None, float, str | None, float | None]:
    setting = None if placement.setting_mm is None else round(float(placement.setting_mm), 3)
    return placement.item, placement.hole, round(float(placement.turn) % 360, 6), placement.stands_on, setting
