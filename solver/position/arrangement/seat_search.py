"""The search for seats at which as many copies of a choice as are asked for stand beside each other.

In words: the first station stands as near to a corner as it can, the next ones as near to it as they can, those in line with it
first. What cannot stand beside a copy there cannot anywhere else on the table, so each offset is judged once.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from functools import cached_property

import numpy as np

from inventory.shapes import Array, turned
from solver.access.between_stations import Offset, opposite
from solver.deadline import look
from solver.geometry.hulls import Flags, Index
from solver.position.arrangement.room import Room, TablePlaces
from solver.position.arrangement.station_bodies import PART, StationBodies

MOST_TRIED = 4000
"""So many sets of seats are looked at for one choice; whether more would do is not known then."""


@dataclass
class SeatSearch:
    """The search for seats of one choice, or of some of its candidates (`rows` of the places' columns) with the parts.

    `ways`: torch and ways are asked too; `plain`: each stays as it is where a station is alone. At most so much is `tried`.
    """

    room: Room
    places: TablePlaces
    station: StationBodies
    rows: Sequence[int]
    ways: bool
    plain: bool = False
    most: int = MOST_TRIED
    tried: int = 0
    _stand: dict[Offset, bool] = field(default_factory=dict)

    @property
    def given_up(self) -> bool:
        """Whether too much was tried to say that there is nothing."""
        return self.tried >= self.most

    @cached_property
    def open(self) -> Index:
        """The seats at which the candidates stand, from the lower left corner on."""
        missing = (~self.places.stands[:, list(self.rows)]).sum(axis=1) > 0
        columns, rows = self.places.steps.T
        order = np.lexsort((columns, rows, self.places.turn))
        found: Index = order[~missing[order]]
        return found

    @cached_property
    def _owners(self) -> frozenset[int]:
        return frozenset({PART, *(self.station.chosen[row] for row in self.rows)})

    @cached_property
    def _span(self) -> int:
        return int(np.ptp(self.places.steps, axis=0).max(initial=0))

    @cached_property
    def _refused(self) -> Flags:
        """At which offsets - half a turn, columns, rows - a copy was found not to stand beside another."""
        return np.zeros((2, 2 * self._span + 1, 2 * self._span + 1), dtype=bool)

    def found(self) -> list[int] | None:
        """Return the seats (rows of the places) of all stations, None if none were found."""
        return self._extended([], self.open)

    def _extended(self, standing: list[int], left: Index) -> list[int] | None:
        """Return seats for all stations, some of which stand already; the others stand at seats that are `left`."""
        missing = self.room.stations - len(standing)
        if not missing:
            return standing
        while len(left) >= missing and not self.given_up:
            look()
            seat, left = int(left[0]), left[1:]
            self.tried += len(standing) > 0
            if not self._stands_beside(seat, standing):
                continue
            found = self._extended([*standing, seat], self._next(seat, left, first=not standing))
            if found is not None:
                return found
            if standing:
                left = self._next(standing[0], left, first=len(standing) == 1)
        return None

    def _next(self, seat: int, left: Index, *, first: bool) -> Index:
        """Return the seats left beside a station; beside the first one the nearest in line come first."""
        half, columns, rows = self.places.seen_from(seat)[left].T
        kept = half >= 0
        kept[kept] = ~self._refused[half[kept], columns[kept] + self._span, rows[kept] + self._span]
        if not first:
            beside: Index = left[kept]
            return beside
        away = columns**2 + rows**2
        order = np.lexsort((rows, columns, away, (columns != 0) & (rows != 0), half))
        nearest: Index = left[order[kept[order]]]
        return nearest

    def offset(self, one: int, other: int) -> Offset:
        """Return where one seat's station sees another's."""
        half, columns, rows = self.places.seen_from(one)[other].tolist()
        return half, columns, rows

    def _stands_beside(self, seat: int, standing: Sequence[int]) -> bool:
        """Return whether a station can stand at a seat beside those that stand: each with each, then all together."""
        for other in standing:
            if not self._two_stand(self.offset(other, seat)):
                return False
        if not self.ways or len(standing) < 2:
            return True
        every = [*standing, seat]
        return all(self._leaves_ways([self.offset(one, other) for other in every if other != one]) for one in every)

    def _two_stand(self, offset: Offset) -> bool:
        """Return whether two copies can stand at an offset, nothing else beside them."""
        if offset not in self._stand:
            back = opposite(offset)
            stand = not any(one in self._owners and other in self._owners for one, other in self.station.too_near(offset))
            stand = stand and (not self.ways or (self._leaves_ways([offset]) and self._leaves_ways([back])))
            for half, columns, rows in (offset, back):
                self._stand[half, columns, rows] = stand
                self._refused[half, columns + self._span, rows + self._span] = not stand
        return self._stand[offset]

    def _leaves_ways(self, around: Sequence[Offset]) -> bool:
        return self.station.leaves_ways(around, plain=self.plain)

    def in_the_middle(self, seats: Sequence[int]) -> list[int]:
        """Return the same seats shifted together to where their middle is nearest to the table's."""
        at = {self._key(row): row for row in self.open.tolist()}
        best: tuple[float, tuple[int, int]] | None = None
        found = list(seats)
        turn, column, row = self._key(seats[0])
        for other_turn, x, y in at:
            step = (x - column, y - row)
            moved = [at.get((t, c + step[0], r + step[1])) for t, c, r in map(self._key, seats)]
            if other_turn != turn or any(seat is None for seat in moved):
                continue
            there = [seat for seat in moved if seat is not None]
            away = round(float(((self._middles[there].mean(axis=0) - self.room.middle) ** 2).sum()), 6)
            if best is None or (away, step) < best:
                best, found = (away, step), there
        return found

    def _key(self, seat: int) -> tuple[int, int, int]:
        return int(self.places.turn[seat]), int(self.places.steps[seat, 0]), int(self.places.steps[seat, 1])

    @cached_property
    def _middles(self) -> Array:
        """Where the weldment's middle lies at each seat, (n, 2), mm."""
        pitch, first = self.room.table.pitch, np.array(self.room.table.first)
        own = self.station.laid.bounds[:, :2].mean(axis=0) - np.array(self.station.lattice.phase)
        round_ = np.array([turned(90.0 * quarter)[:2, :2] @ own for quarter in range(4)])
        middles: Array = first + pitch * self.places.steps + round_[self.places.quarter]
        return middles
