"""Lattice positions surveyed together: what can stand there, placed and screened, on which seats, and the floors raised by it."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import replace

import numpy as np

from solver.hardware.sites import Sites
from solver.position.floors.screened_sites import Least, screened_sites
from solver.position.floors.site_floors import locating_floor, pressing_floor
from solver.position.seatings import Seating, Seatings, seatings_of
from solver.position.seats import off_table, usable_holes
from solver.search.lattice_position import Fallen, LatticePosition
from solver.search.state import SearchState


def screen_together(state: SearchState, positions: Sequence[LatticePosition], most: int | None = None) -> list[LatticePosition]:
    """Place and screen a few positions of one orientation together; return those that stay in the running, floors raised.

    Of those that turn out to cost more than `most` (cents) only the floors are raised; they are looked at again when asked.
    """
    orientation = positions[0].orientation
    laid, prices = orientation.laid, orientation.bounds.prices
    state.tally.surveyed += len(positions)
    lattices = [position.lattice for position in positions]
    shares = orientation.bounds.shares_at(np.array([lattice.phase for lattice in lattices]))
    limit = math.inf if most is None or any(position.kept for position in positions) else state.price.pieces_at(most)
    least = Least(*shares, limit - orientation.premium)
    found = screened_sites(orientation.reach, lattices, laid, prices, least, state.tally.refused)
    running: list[LatticePosition] = []
    for number, position in enumerate(positions):
        if found.floor[number] == math.inf:
            state.fallen.append(Fallen(position))
            continue
        if not found.complete[number]:
            position.floor = max(position.floor, state.price.cents(orientation.premium + float(found.floor[number])))
            running.append(position)
            continue
        sites = found.sites.where(found.sites.lattice == number)
        position.sites = replace(sites, lattices=[position.lattice], lattice=np.zeros(len(sites), dtype=np.intp))
        if not position.kept:
            position.floor = max(position.floor, state.price.cents(orientation.premium + float(found.floor[number])))
        position.locating = found.locating[number]
        if position.kept:
            running += seated(state, position)
        else:
            running.append(position)
    return running


def seated(state: SearchState, position: LatticePosition) -> Iterator[LatticePosition]:
    """Yield a surveyed position for each seat that may matter, its sites those that find usable holes there, its floor raised."""
    sites, prices = position.sites, np.array(position.orientation.bounds.prices)
    assert sites is not None
    seatings = _seatings(state, position, sites)
    if seatings.left:
        state.untried("seats", position.floor)
    state.tally.refused["table.size"] += not seatings.seatings
    if not seatings.seatings:
        state.fallen.append(Fallen(position, homeless=True))
    for count, seating in enumerate(seatings.seatings):
        own = sites.where(seating.usable)
        there = replace(position, seat_number=count, seat=seating.seat, sites=own)
        state.tally.refused["table.hole"] += int((~seating.usable).sum())
        whole = seating.laid is position.orientation.laid
        there.hung = None if whole else seating.laid
        if whole and seating.usable.all():
            yield there
            continue
        locating = np.array([float(locating_floor(own, there.laid, part, prices)[0]) for part in there.laid.parts])
        floor = float(locating.sum())
        if math.isfinite(floor):
            floor += float(pressing_floor(own, there.laid, prices)[0])
        if not math.isfinite(floor):
            state.fallen.append(Fallen(there))
            continue
        there.locating = locating
        if not position.kept:
            there.floor = max(there.floor, state.price.cents(position.orientation.premium + floor))
        yield there


def _seatings(state: SearchState, position: LatticePosition, sites: Sites) -> Seatings:
    """Return the seats of a position: of one to keep the one that stands, of all others those that may matter."""
    table, without, edge = position.table, state.request.without, state.request.rules["clear.table_edge"]
    orientation = position.orientation
    if position.seat is None:
        return seatings_of(table, orientation.laid, position.lattice, orientation.lie, without, sites, edge)
    usable = ~off_table(sites, np.arange(len(sites)), position.seat, usable_holes(table, without), edge)
    return Seatings((Seating(position.seat, position.laid, usable),))
