"""Seats at which pieces of the plan to keep may stay although the weldment lies elsewhere; looked at as floors are reached."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace

import numpy as np

from solver.position.floors.standing_seats import SeatKey
from solver.position.seats import Seat
from solver.search.lattice_position import LatticePosition
from solver.search.state import SearchState

SAME_PHASE = 1e-4


def seats_elsewhere(
    state: SearchState, position: LatticePosition, standing: Mapping[SeatKey, int]
) -> tuple[tuple[int, SeatKey], ...]:
    """Return the seats of a position at which so many pieces may stay, each with its floor, the lowest first.

    The one at which the weldment lies as it lay is left out where it is a position of its own.
    """
    own, floor = _kept_seat(position), position.floor - state.price.moving(position.staying)
    return tuple(
        sorted(
            (floor + state.price.moving(min(count, position.staying)), seat) for seat, count in standing.items() if seat != own
        )
    )


def _kept_seat(position: LatticePosition) -> SeatKey | None:
    place = position.orientation.kept_seat
    if place is None or place[1].table.id != position.table.id:
        return None
    apart = np.abs(np.array(place[0].phase) - np.array(position.lattice.phase))
    same = bool((apart < SAME_PHASE).all())
    return (place[1].turn, place[1].shift) if same else None


def opened_seats(
    state: SearchState, position: LatticePosition, seats: Sequence[tuple[int, SeatKey]], most: int | None
) -> Iterator[LatticePosition]:
    """Yield a position for each seat whose floor is at most `most` (None: the first alone), and one for all others."""
    if not seats:
        return
    limit = seats[0][0] if most is None else most
    number = 0
    while number < len(seats) and seats[number][0] <= limit:
        floor, (turn, shift) = seats[number]
        seat = Seat(position.table, turn, shift, position.orientation.lie.quarters_to(turn))
        yield replace(position, floor=floor, number=state.next_number(), seat=seat, elsewhere=(), sites=None)
        number += 1
    if number < len(seats):
        left = tuple(seats[number:])
        yield replace(position, floor=left[0][0], number=state.next_number(), elsewhere=left, sites=None)
