"""A choice on its seat: a fixture, with what is needed to write it down in the table frame."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from functools import cached_property

import numpy as np

from inventory.shapes import Array, turned
from solver.access.between_stations import Offset
from solver.answer.changes.same_pieces import kept_ids, new_ids
from solver.model.choice import Choice
from solver.position.arrangement.station_bodies import StationBodies
from solver.position.kept_plan import standing_pieces
from solver.position.problem import Problem
from solver.position.seats import Seat

CLEAN = 9
"""Coordinates are given to a nanometre: what is smaller is arithmetic's dust."""


@dataclass(frozen=True)
class ChosenFixture:
    """A choice on its seat: what is needed to write it down in the table frame."""

    problem: Problem
    choice: Choice
    seat: Seat
    station: int | None = field(default=None, kw_only=True)
    """Its number, where several stations share the table."""
    around: tuple[Offset, ...] = field(default=(), kw_only=True)
    """Where the other stations stand, seen from this one."""
    others: Sequence[ChosenFixture] = field(default=(), kw_only=True)
    """The stations that are written down before this one."""

    @cached_property
    def copies(self) -> StationBodies | None:
        """The choice as the other stations meet it; None if there is one station."""
        arranger = self.problem.arranger
        return None if arranger is None else arranger.station(self.choice.candidates, self.choice.pulled)

    @cached_property
    def move(self) -> Array:
        """Frame (4x4) from the lie frame to the table frame."""
        table = self.seat.table
        frame = turned(90.0 * self.seat.quarter)
        phase = frame[:2, :2] @ np.array(self.problem.lattice.phase)
        frame[:2, 3] = np.array(table.first) + table.pitch * np.array(self.seat.shift) - phase
        return frame

    @cached_property
    def weldment_to_table(self) -> Array:
        """Frame (4x4) from the weldment to the table."""
        lie = np.eye(4)
        lie[:3, :3] = self.problem.laid.rotation
        lie[2, 3] = self.problem.laid.lift
        return clean(self.move @ lie)

    @cached_property
    def ids(self) -> Mapping[int, tuple[str, ...]]:
        """Placement ids of each chosen candidate, from the table up; in a re-plan pieces that stay or move keep theirs."""
        taken = {part.id for part in self.problem.laid.all_parts}
        elsewhere = {id for other in self.others for ids in other.ids.values() for id in ids}
        prefix = next(
            p
            for p in ("p", "h", "piece-", "placement-", "_p")
            if not any(t.startswith(p) and t[len(p) :].isdigit() for t in taken)
        )
        pieces = [
            (index, piece) for index in self.ordered for piece in standing_pieces(self.problem.candidates[index], self.seat)
        ]
        keep = self.problem.request.keep
        kept: list[str | None] = [None] * len(pieces)
        if keep is not None:
            kept = kept_ids(keep, [piece for _, piece in pieces], self.seat.table.id)
        fresh = new_ids(() if keep is None else keep.placements, taken | elsewhere, prefix)
        ids: dict[int, tuple[str, ...]] = {}
        for (index, _), id in zip(pieces, kept, strict=True):
            ids[index] = (*ids.get(index, ()), next(fresh) if id is None or id in taken else id)
        return ids

    @cached_property
    def ordered(self) -> tuple[int, ...]:
        """Chosen candidates in the order they are set: by the part they serve first, locators before clamps."""
        order = self.problem.laid.order or tuple(range(len(self.problem.laid.parts)))

        def key(index: int) -> tuple[int, bool, tuple[int, int]]:
            candidate = self.problem.candidates[index]
            return min(order.index(part) for part in candidate.parts), candidate.clamp, self.seat.hole(candidate.hole)

        return tuple(sorted(self.choice.candidates, key=key))

    def point(self, at: Array) -> tuple[float, float, float]:
        """Return a lie-frame point in the table frame."""
        x, y, z = clean(self.move[:3, :3] @ at + self.move[:3, 3])
        return float(x), float(y), float(z)

    def direction(self, vector: Array) -> tuple[float, float, float]:
        """Return a lie-frame direction in the table frame."""
        x, y, z = clean(self.move[:3, :3] @ vector)
        return float(x), float(y), float(z)


def fixtures_of(problem: Problem, choice: Choice, seat: Seat) -> tuple[ChosenFixture, ...]:
    """Return a choice as the fixtures of all stations: on its seat, or where it is arranged on the table."""
    if problem.arranger is None:
        return (ChosenFixture(problem, choice, seat),)
    arranged = problem.arranger.arranged(choice.candidates, choice.pulled)
    found: list[ChosenFixture] = []
    for number, (own, around) in enumerate(zip(arranged.seats, arranged.around, strict=True), 1):
        found.append(ChosenFixture(problem, choice, own, station=number, around=around, others=tuple(found)))
    return tuple(found)


def clean(values: Array) -> Array:
    """Return values without arithmetic's dust (and without minus zero)."""
    rounded: Array = np.round(values, CLEAN) + 0.0
    return rounded
