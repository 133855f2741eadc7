"""Lattice positions surveyed together: what can stand there, placed and screened, and the floors raised by it."""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np

from solver.geometry.hulls import Flags
from solver.hardware.sites import ALONG, Sites
from solver.position.floors.screened_sites import screened_sites
from solver.position.overhang import seat_or_overhang
from solver.position.seats import off_table, usable_holes
from solver.search.lattice_position import Fallen, LatticePosition
from solver.search.state import SearchState


def screen_together(state: SearchState, positions: Sequence[LatticePosition]) -> list[LatticePosition]:
    """Place and screen a few positions of one orientation together; return those that stay in the running, floors raised.

    All lie flat on the table, or it is one alone.
    """
    for position in positions:
        _sit(state, position)
    orientation, laid = positions[0].orientation, positions[0].laid
    state.tally.surveyed += len(positions)
    state.tally.refused["table.size"] += sum(position.seat is None for position in positions)
    every = 10**6 if any(position.kept for position in positions) else ALONG
    lattices = [position.lattice for position in positions]

    def allowed(sites: Sites) -> Flags:
        fits = np.zeros(len(sites), dtype=bool)
        for number, position in enumerate(positions):
            if position.seat is not None:
                own = np.flatnonzero(sites.lattice == number)
                usable = usable_holes(position.table, state.request.without)
                fits[own] = ~off_table(sites, own, position.seat, usable, state.request.rules["clear.table_edge"])
        return fits

    found = screened_sites(orientation.reach, lattices, every, laid, orientation.bounds.prices, allowed, state.tally.refused)
    running = []
    for number, position in enumerate(positions):
        if found.floor[number] == math.inf:
            state.fallen.append(Fallen(position))
            continue
        if not position.kept:
            position.floor = max(position.floor, state.price.cents(float(found.floor[number])))
        position.sites = found.sites.where(found.sites.lattice == number)
        position.locating = found.locating[number]
        running.append(position)
    return running


def hangs(state: SearchState, position: LatticePosition) -> bool:
    """Return whether the weldment hangs over the table's edge at a position."""
    _sit(state, position)
    return position.hung is not None


def _sit(state: SearchState, position: LatticePosition) -> None:
    """Find a position's seat on its table, once."""
    if position.seat is None:
        whole = position.orientation.laid
        position.seat, there = seat_or_overhang(
            position.table, whole, position.lattice, position.orientation.lie, state.request.without
        )
        position.hung = None if there is whole else there
