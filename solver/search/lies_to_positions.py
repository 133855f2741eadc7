"""Opening a search: from the lies allowed to orientations, and from each to its lattice positions with the floors under them."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from solver.hardware.candidates import Lattice
from solver.hardware.lattice_positions import positions_of
from solver.hardware.raising import lifts_of
from solver.laying.lies import Lie, lies_of
from solver.model.bounds.counting import counting
from solver.model.cpsat import feasible
from solver.search.lattice_position import Fallen, LatticePosition
from solver.search.orientation import Orientation, items_of, orientations_of, under_rules
from solver.search.state import SearchState

AT_ONCE = 200
"""Lattice positions whose floors are found together, between two looks at the clock."""


def open_on_table(state: SearchState) -> None:
    """Find all positions with the weldment on the table, and the floor under each."""
    _open(state, lies_of(state.request, items_of(state.request, state.stock), (0.0,)))


def raise_up(state: SearchState) -> bool:
    """Find the positions with the weldment raised on rests or V-blocks instead; return whether there are any.

    It is raised high enough for the torch, if it was the table that left no room for it.
    """
    items = items_of(state.request, state.stock)
    lies = {
        replace(orientation.lie, lift=lift): None
        for orientation in state.orientations
        if orientation.laid.order is not None and orientation.torch.lacking < math.inf
        for lift in lifts_of(items, orientation.laid, orientation.bounds.pitch, orientation.torch.lacking)
    }
    state.orientations, state.positions = [], []
    _open(state, list(lies))
    return bool(state.positions)


def open_as(state: SearchState, other: SearchState) -> None:
    """Find all positions on the lies on the table that another search has found, for its request with other rules."""
    on_table = [orientation for orientation in other.tried if not orientation.lie.lift]
    _enter(state, [under_rules(state.request, state.stock, orientation) for orientation in on_table])


def _open(state: SearchState, lies: Sequence[Lie]) -> None:
    _enter(state, list(orientations_of(state.request, state.stock, state.samples, lies, state.out_of_time)))


def _enter(state: SearchState, orientations: Sequence[Orientation]) -> None:
    state.orientations += orientations
    state.tried += orientations
    for orientation in orientations:
        if state.out_of_time():
            break
        _add_positions(state, orientation)
    state.positions.sort()
    state.tally.positions = len(state.positions)


def _add_positions(state: SearchState, orientation: Orientation) -> None:
    missing = set(range(len(orientation.torch.samples))) - set(orientation.torch.sample.tolist())
    if missing:
        state.tally.refused["torch.shut_in"] += len(missing)
        return
    if orientation.laid.order is None:
        state.tally.refused["way.in"] += 1
        return
    short = counting(state.request, state.stock, orientation.laid, orientation.stacks, orientation.found)
    if feasible(short, state.deadline.seconds_left()) == "infeasible":
        state.tally.refused["stock.counted"] += 1
        state.fallen.append(
            Fallen(
                LatticePosition(0, -1, orientation, Lattice((0.0, 0.0), orientation.bounds.pitch), orientation.tables[0]),
                short,
            )
        )
        return
    bounds = orientation.bounds
    _add_kept(state, orientation)
    phases, left = positions_of(orientation.reach, orientation.laid, bounds.pitch, bounds.told_apart)
    _try(state, orientation, phases)
    if left:
        state.untried("positions.askew", state.price.cents(0.0))


def _try(state: SearchState, orientation: Orientation, phases: Sequence[tuple[float, float]]) -> None:
    """Add a position for every lattice position that every part can be located on."""
    bounds = orientation.bounds
    where = [np.unique(np.array([phase[axis] for phase in phases]), return_inverse=True) for axis in range(2)]
    fits = [bounds.along(values.tolist(), axis) for axis, (values, _) in enumerate(where)]
    for first in range(0, len(phases), AT_ONCE):
        if first and state.out_of_time():
            return
        some = slice(first, first + AT_ONCE)
        floors = bounds.floors(fits[0].take(where[0][1][some]), fits[1].take(where[1][1][some]))
        _add(state, orientation, phases[some], floors.tolist())


def _add(state: SearchState, orientation: Orientation, phases: Sequence[tuple[float, float]], floors: Sequence[float]) -> None:
    """Add some lattice positions whose floors are finite."""
    for phase, floor in zip(phases, floors, strict=True):
        lattice = Lattice(phase, orientation.bounds.pitch)
        if floor == math.inf:
            state.tally.refused["locate.lattice"] += 1
            state.fallen += [Fallen(LatticePosition(0, -1, orientation, lattice, table)) for table in orientation.tables]
            continue
        for table in orientation.tables:
            state.positions.append(LatticePosition(state.price.cents(floor), len(state.positions), orientation, lattice, table))


def _add_kept(state: SearchState, orientation: Orientation) -> None:
    """Add the position at which the weldment lies as it lies in the plan to keep, to be asked first."""
    for table in orientation.tables if state.kept is not None else ():
        place = state.kept.place(table, orientation.lie, orientation.laid.lift) if state.kept is not None else None
        if place is not None:
            state.positions.append(
                LatticePosition(0, len(state.positions), orientation, place[0], table, seat=place[1], kept=True)
            )
