"""Where equal stations can stand beside each other on one table: found for one choice at a time, or shown that they cannot.

In words: every station is a copy of the first, shifted by whole pitches or turned half a turn as well, and lies on as much of
the slab. Two copies may stand beside each other if all bodies keep clear.body, clamps shut and open, and no two pegs share a
hole. All together they may if each keeps a torch direction at every weld sample and a way for every part in and for the weldment
out. Seats are tried from a corner of the table, the nearest copies in line first: for such as keep torch and ways as they are
alone, then for any. All that is found together is then shifted to the middle of the table.

Example:

```text
   +----------------------------+      two stations in line, 8 columns on: bodies 1 mm apart at least
   |  [=====]     [=====]       |      a third: no seat left in line, none in the next row either,
   |  [  A  ]     [  B  ]       |      turned round or not: the choice is not arranged three times
   +----------------------------+
```
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from functools import cached_property

import numpy as np

from solver.access.between_stations import Offset
from solver.access.routes import Routes
from solver.access.torch import TorchDirections
from solver.deadline import look
from solver.geometry.hulls import Hulls
from solver.hardware.candidates import Candidate, Lattice
from solver.laying.laid_weldment import LaidWeldment
from solver.position.arrangement.room import Room
from solver.position.arrangement.seat_search import SeatSearch
from solver.position.arrangement.station_bodies import StationBodies
from solver.position.arrangement.whole_room import WholeRoom, whole_room
from solver.position.seats import Seat


@dataclass(frozen=True)
class Arrangement:
    """Where the stations of a choice stand; if nowhere, which of its candidates alone cannot be arranged (none: the parts alone).

    `around` says for each station where the others stand, seen from it. `sure`: nothing was left out on the way to saying that
    they stand nowhere.
    """

    seats: tuple[Seat, ...] = ()
    around: tuple[tuple[Offset, ...], ...] = ()
    blame: tuple[int, ...] = ()
    sure: bool = True


MOST_PLAIN = 200
"""So many sets of seats are looked at to leave every station its torch and ways as they are alone."""
Key = tuple[tuple[int, ...], frozenset[int]]
"""A choice: its candidates in order, and those that may be pulled."""


@dataclass
class Arranger:
    """Arranges the choices of one lattice position; what it found is kept.

    Parameters
    ----------
    shut, opened : Hulls
        The candidates' bodies, clamps shut; of clamps, open.
    """

    room: Room
    laid: LaidWeldment
    lattice: Lattice
    candidates: Sequence[Candidate]
    shut: Hulls
    opened: Hulls
    torch: TorchDirections
    routes: Routes
    unsure_cents: int | None = None
    """What the cheapest choice costs of which it is not sure that it cannot be arranged, cents."""
    known: dict[Key, Arrangement] = field(default_factory=dict)
    _last: tuple[Key, StationBodies] | None = None

    @cached_property
    def whole(self) -> WholeRoom | None:
        """All seats of the table and what crosses between them, None if they are too many."""
        return (
            None if self.room.narrow else whole_room(self.room, self.laid, self.lattice, self.candidates, self.shut, self.opened)
        )

    def arranged(self, chosen: Sequence[int], pulled: frozenset[int]) -> Arrangement:
        """Return how a choice is arranged."""
        key = tuple(sorted(chosen)), pulled
        if key not in self.known:
            self.known[key] = self._arrange(*key)
        return self.known[key]

    def station(self, chosen: Sequence[int], pulled: frozenset[int]) -> StationBodies:
        """Return a choice as its copies meet it; the last one asked for is kept."""
        key = tuple(sorted(chosen)), pulled
        if self._last is None or self._last[0] != key:
            self._last = key, self._station(*key)
        return self._last[1]

    def _station(self, chosen: tuple[int, ...], pulled: frozenset[int]) -> StationBodies:
        own = np.array(chosen, dtype=np.intp)
        shut, opened = (hulls.take(np.isin(hulls.owner, own)) for hulls in (self.shut, self.opened))
        pegs = {index: self.candidates[index].holes for index in own.tolist()}
        return StationBodies(self.laid, self.lattice, self.torch, self.routes, shut, opened, pegs, pulled)

    def _arrange(self, chosen: tuple[int, ...], pulled: frozenset[int]) -> Arrangement:
        look()
        places = self.room.places(self.laid, self.lattice, [self.candidates[index] for index in chosen])
        if not len(places):
            return Arrangement(blame=chosen, sure=False)
        station = self.station(chosen, pulled)
        search = SeatSearch(self.room, places, station, range(len(chosen)), ways=True, plain=True, most=MOST_PLAIN)
        found = search.found()
        if found is None:
            search = SeatSearch(self.room, places, station, range(len(chosen)), ways=True)
            found = search.found()
        if found is not None:
            rows = search.in_the_middle(found)
            around = tuple(tuple(search.offset(row, other) for other in rows if other != row) for row in rows)
            return Arrangement(tuple(self.room.seat(places, row) for row in rows), around)
        blame, sure = list(range(len(chosen))), not (search.given_up or self.room.narrow or self.routes.pullable & set(chosen))
        bodies = SeatSearch(self.room, places, station, blame, ways=False)
        if bodies.found() is not None or bodies.given_up:
            return Arrangement(blame=chosen, sure=sure and not bodies.given_up)
        for place in range(len(chosen)):
            fewer = [other for other in blame if other != place]
            without = SeatSearch(self.room, places, station, fewer, ways=False)
            if without.found() is None and not without.given_up:
                blame = fewer
        return Arrangement(blame=tuple(chosen[place] for place in blame), sure=not self.room.narrow)
