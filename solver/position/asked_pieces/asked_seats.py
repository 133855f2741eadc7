"""The seats of a lattice position where pins and avoided pieces name places on the table: those that may matter.

In words: a fixture shifted on the table by whole pitches is the same fixture, but not to somebody who asks for a piece in hole
C7. So one model has all seats at which the pins may be met, and chooses among them. Of seats that leave the same pieces usable
and bring the same ones to the places named, one is enough; so is one that leaves or brings all that another does, and none that
is to be avoided.

Example:

```text
   asked: a piece in C7      two stops and a pin could stand there: three seats that bring one of them to C7
   avoided: row 3            seats with no hole in use in row 3 are all alike: one of them is looked at
```
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from inventory.tables import Table
from solver.described_pieces import DescribedPiece
from solver.geometry.hulls import Flags, Index
from solver.hardware.candidates import Candidate, Lattice
from solver.hardware.sites import Sites
from solver.laying.laid_weldment import LaidWeldment
from solver.laying.lies import Lie
from solver.position.asked_pieces.fitting import at_seats, may_fit
from solver.position.seatings import LyingOn, footprints, shifts_of, undominated
from solver.position.seats import Seat, usable_holes
from solver.request import Request

MOST_TOGETHER = 240
"""So many seats at most are in one model."""
MOST_COMPARED = 1500
"""Of more seats those that are no better than another are not sought."""
MOST_GROUPS = 32
"""A weldment that hangs over the table's edge lies otherwise at each of its seats: so many ways to lie are looked at."""


@dataclass(frozen=True)
class SeatGroup:
    """Seats at which a weldment lies alike, the best first, and which sites find usable holes at any of them."""

    seats: tuple[Seat, ...]
    laid: LaidWeldment
    usable: Flags


@dataclass(frozen=True)
class AskedSeats:
    """The groups of seats to look at, and how many seats there are besides."""

    groups: tuple[SeatGroup, ...]
    left: int = 0


def names_places(request: Request) -> bool:
    """Return whether a request pins or avoids pieces by where they stand on a table."""
    return any(described.placed for described in (*request.pins, *request.avoid))


def asked_seats(request: Request, table: Table, laid: LaidWeldment, lattice: Lattice, lie: Lie, sites: Sites) -> AskedSeats:
    """Return the seats of a lattice position at which all pins may be met, as far as they may matter."""
    candidates = sites.candidates(0) if len(sites) else []
    found = _found(request, table, laid, lattice, lie, sites, candidates)
    lying = LyingOn(table, laid, lattice)
    groups: dict[bytes, tuple[LaidWeldment, list[int]]] = {}
    left = 0
    for k, seat in enumerate(found.seats):
        there = lying.at(seat, found.bears[k])
        if there is None:
            continue
        key = b"" if there is laid else np.array(found.bears[k]).tobytes()
        if key not in groups and len(groups) == MOST_GROUPS:
            left += 1
            continue
        groups.setdefault(key, (there, []))[1].append(k)
    kept = []
    for there, own in groups.values():
        left += max(0, len(own) - MOST_TOGETHER)
        own = own[:MOST_TOGETHER]
        usable: Flags = np.logical_or.reduce(found.usable[own], axis=0)
        kept.append(SeatGroup(tuple(found.seats[k] for k in own), there, usable))
    return AskedSeats(tuple(kept), left)


@dataclass(frozen=True)
class _Seats:
    """Seats, the best first, what the slab bears there, and which sites find usable holes (seats, sites)."""

    seats: Sequence[Seat]
    bears: Sequence[tuple[float, ...]]
    usable: Flags


def _found(
    request: Request, table: Table, laid: LaidWeldment, lattice: Lattice, lie: Lie, sites: Sites, candidates: Sequence[Candidate]
) -> _Seats:
    usable, edge = usable_holes(table, request.without), request.rules["clear.table_edge"]
    prints, which = footprints(sites)
    seats: list[Seat] = []
    flags: list[Flags] = []
    bears: list[tuple[float, ...]] = []
    liking: list[tuple[float, float]] = []
    for turn in lie.same_turns:
        quarter = lie.quarters_to(turn)
        shifts = shifts_of(table, laid, lattice, quarter, prints, usable, edge, every=True)
        if shifts is None:
            continue
        own = [Seat(table, turn, (across, along), quarter) for across, along in shifts.steps.tolist()]
        there = shifts.usable[:, which]
        told = _told_apart(request, laid, table, candidates, own, there)
        if told is None:
            continue
        kept = np.flatnonzero(told.pins_met)
        seats += [own[k] for k in kept.tolist()]
        flags.append(np.concatenate([there, told.flags], axis=1)[kept])
        bears += [tuple(row) for row in shifts.bears[kept].tolist()]
        liking += [(row[0], row[1]) for row in shifts.liking[kept].tolist()]
    if not seats:
        return _Seats([], [], np.zeros((0, len(sites)), dtype=bool))
    every = np.concatenate(flags)
    best = _best_of(every, np.array(bears), np.array(liking))
    return _Seats([seats[k] for k in best], [bears[k] for k in best], every[best][:, : len(sites)])


@dataclass(frozen=True)
class _ToldApart:
    """At which seats all pins may be met (seats,), and flags by which seats differ, set where that is to be liked."""

    pins_met: Flags
    flags: Flags


def _told_apart(
    request: Request, laid: LaidWeldment, table: Table, candidates: Sequence[Candidate], seats: Sequence[Seat], usable: Flags
) -> _ToldApart | None:
    """Return what tells seats apart; None if there are none."""
    if not seats:
        return None
    met = np.ones(len(seats), dtype=bool)
    flags: list[Flags] = []
    for described, liked in (*((pin, True) for pin in request.pins), *((other, False) for other in request.avoid)):
        rows = [k for k, candidate in enumerate(candidates) if may_fit(described, candidate, laid, table.id)]
        stands = _standing(described, [candidates[k] for k in rows], seats) & usable[:, rows]
        if liked:
            met &= stands.any(axis=1)
        if described.placed:
            flags.append(stands if liked else ~stands)
    return _ToldApart(met, np.concatenate(flags, axis=1) if flags else np.zeros((len(seats), 0), dtype=bool))


def _standing(described: DescribedPiece, candidates: Sequence[Candidate], seats: Sequence[Seat]) -> Flags:
    return at_seats(described, candidates, seats) if candidates else np.zeros((len(seats), 0), dtype=bool)


def _best_of(flags: Flags, bears: np.ndarray, liking: np.ndarray) -> Index:
    """Return the seats that no other one is better than, the best first; of alike ones the best liked."""
    order = np.lexsort((np.arange(len(flags)), liking[:, 1], liking[:, 0], -flags.sum(axis=1)))
    keys = np.concatenate([np.packbits(flags[order], axis=1).astype(float), bears[order]], axis=1)
    _, first = np.unique(keys, axis=0, return_index=True)
    order = order[np.sort(first)]
    return order[undominated(flags[order], bears[order])] if len(order) <= MOST_COMPARED else order
