"""All seats a table has for stations, and what at two of them keeps copies from standing: for tables nearly too small."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from solver.access.between_stations import CandidateCopies, Offset, opposite
from solver.access.conflicts import kept_table
from solver.deadline import look
from solver.geometry.hulls import Hulls, Index
from solver.geometry.proximity import box_pairs, near
from solver.geometry.tolerances import EQUAL
from solver.hardware.candidates import Candidate, Lattice
from solver.laying.laid_weldment import LaidWeldment
from solver.position.arrangement.room import Room, TablePlaces
from solver.position.arrangement.station_bodies import moved_to

MOST_SEATS, MOST_OFFSETS = 160, 240
"""Of more seats, or of more offsets between them, no whole account is given: such a table has room."""


@dataclass(frozen=True)
class Crossing:
    """What keeps copies from standing at an offset: the parts alone, candidates with the parts or themselves, pairs (i < j)."""

    parts: bool
    alone: frozenset[int]
    pairs: tuple[tuple[int, int], ...]


@dataclass(frozen=True)
class WholeRoom:
    """Seats (rows of the places), by which offset one sees another (None: a quarter turn between), and what crosses there."""

    places: TablePlaces
    seats: Index
    offsets: dict[tuple[int, int], Offset | None]
    crossings: dict[Offset, Crossing]

    def missing(self, candidate: int) -> list[int]:
        """Return at which seats (their place in the list) a candidate finds no holes."""
        return np.flatnonzero(~self.places.stands[self.seats, candidate]).tolist()


def whole_room(
    room: Room, laid: LaidWeldment, lattice: Lattice, candidates: Sequence[Candidate], shut: Hulls, opened: Hulls
) -> WholeRoom | None:
    """Return all seats of a table and what crosses between them, None if they are too many."""
    places = room.places(laid, lattice, candidates)
    seats = np.arange(len(places))
    if not 0 < len(seats) <= MOST_SEATS:
        return None
    offsets: dict[tuple[int, int], Offset | None] = {}
    for place, seat in enumerate(seats.tolist()):
        for other, (half, columns, rows) in enumerate(places.seen_from(seat)[seats].tolist()):
            if other > place:
                offset = (half, columns, rows)
                offsets[place, other] = None if half < 0 else min(offset, opposite(offset))
    wanted = sorted({offset for offset in offsets.values() if offset is not None})
    if len(wanted) > MOST_OFFSETS:
        return None
    clear = laid.rules["clear.body"]
    copies = CandidateCopies(candidates, kept_table(lattice.pitch, clear))
    crossings = {offset: _crossing(offset, laid, lattice, copies, (shut, opened), clear) for offset in wanted}
    return WholeRoom(places, seats, offsets, crossings)


def _crossing(
    offset: Offset, laid: LaidWeldment, lattice: Lattice, copies: CandidateCopies, pieces: tuple[Hulls, Hulls], clear: float
) -> Crossing:
    look()
    parts = laid.hulls
    if _hits(parts, moved_to(parts, offset, lattice), clear):
        return Crossing(True, frozenset(), ())
    pairs = copies.too_near(offset)
    alone = {one for one, other in pairs if one == other}
    for there in {offset, opposite(offset)}:
        others = moved_to(parts, there, lattice)
        for bodies in pieces:
            alone |= _hits(bodies, others, clear)
    left = tuple(sorted((one, other) for one, other in pairs if one not in alone and other not in alone))
    return Crossing(False, frozenset(alone), left)


def _hits(bodies: Hulls, others: Hulls, clear: float) -> set[int]:
    """Return the owners of bodies that come nearer to others than `clear`, mm."""
    i, j = box_pairs(bodies.boxes, others.boxes, clear)
    hit = near(bodies, i, others, j, clear + EQUAL)
    return set(bodies.owner[i[hit]].tolist())
