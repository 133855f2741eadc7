"""Floors under the price of whole sorts of fixtures before they are looked at: a weldment above the table, pieces on arms.

Every piece stands on the cheapest that brings its pad to its face's height, if anything does; from which hole is left open. Parts
that lay on the table need rests where they are carried above it. An arm is paid for once, whatever stands on it.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from inventory.shapes import Array
from solver.geometry.hulls import Flags
from solver.geometry.tolerances import LEVEL
from solver.hardware.lattice_positions import positions_of
from solver.hardware.matching import Match, matches
from solver.hardware.reachable_holes import ReachableHoles
from solver.hardware.stacks import Stack
from solver.laying.laid_weldment import LaidWeldment
from solver.position.asked_pieces.fitting import pinned_settings
from solver.position.floors.match_floors import AlongAxis, MatchFloors
from solver.search.orientation import Orientation
from solver.search.sorts.carried_prices import CarriedPrices, arm_cents
from solver.search.state import SearchState


def raised_floors(state: SearchState, orientation: Orientation, lifts: Sequence[float]) -> list[int | None]:
    """Return by height (mm) the least total of a fixture that carries the weldment there, no part of it on the table, cents.

    None where there is none at that height.
    """
    laid = orientation.laid
    above = replace(laid, touches=tuple(touch for touch in laid.touches if not touch.on_table))
    return _floors(state, orientation, above, lifts)


def armed_floor(state: SearchState, orientation: Orientation) -> int | None:
    """Return the least total of a fixture with an arm, cents; None if there is none."""
    shelf = state.shelf(orientation.bounds.pitch)
    return _floors(state, orientation, orientation.laid, (0.0,), arm_cents(state.request, state.stock, shelf))[0]


def armed_phases(state: SearchState, orientation: Orientation, most: int) -> list[tuple[float, float]] | None:
    """Return the lattice positions at which a fixture with an arm may cost at most `most`, cents.

    Arms carry whole holes away: what stands on one meets faces from the same lattice positions as what stands on the table.
    None if pads look up and aside at once, which meet faces of other heights from other positions.
    """
    arm = arm_cents(state.request, state.stock, state.shelf(orientation.bounds.pitch))
    stacks, found, each = _at_heights(state, orientation, orientation.laid, (0.0,), arm)
    there = np.isfinite(each[0])
    found = [found[row] for row in np.flatnonzero(there).tolist()]
    bounds = replace(_bounds(orientation, orientation.laid, stacks, found), each=each[:, there])
    if _aslant(bounds.reach).any():
        return None
    settings = pinned_settings(state.request)
    phases, _ = positions_of(bounds.reach, orientation.laid, bounds.pitch, bounds.told_apart, settings)
    floors = np.concatenate([*bounds.floors_at(phases), np.zeros(0)]) + arm
    return [phases[k] for k in np.flatnonzero(floors <= state.price.pieces_at(most)).tolist()]


def _floors(
    state: SearchState, orientation: Orientation, laid: LaidWeldment, lifts: Sequence[float], arm: float = 0.0
) -> list[int | None]:
    """Return by how much higher the weldment lies what a fixture costs at least, in any order of loading, cents.

    `arm` is paid for once, and taken off what stands on one.
    """
    stacks, found, each = _at_heights(state, orientation, laid, lifts, arm)
    floors = anywhere(replace(_bounds(orientation, laid, stacks, found), each=each), np.isfinite(each)) + arm
    return [state.price.cents(floor) if math.isfinite(floor) else None for floor in floors.tolist()]


def _at_heights(
    state: SearchState, orientation: Orientation, laid: LaidWeldment, lifts: Sequence[float], arm: float
) -> tuple[list[Stack], list[Match], Array]:
    """Return pieces alone, their pads and the faces of any height they look at, and prices by lift (k, m), cents."""
    shelf = state.shelf(orientation.bounds.pitch)
    stacks, found = matches(shelf, laid, any_height=True)
    return stacks, found, CarriedPrices(state.request, state.stock, shelf, arm).at(lifts, stacks, found)


def _bounds(orientation: Orientation, laid: LaidWeldment, stacks: Sequence[Stack], found: Sequence[Match]) -> MatchFloors:
    """Return what bounds fixtures of pieces at any height, in any order of loading, still without prices."""
    reach = ReachableHoles.of(stacks, found)
    box = np.where(_aslant(reach)[:, None, None], [-np.inf, np.inf], reach.box)
    loose = replace(laid, any_order=True)
    return MatchFloors.of(loose, replace(reach, box=box), [0.0] * len(stacks), orientation.bounds.pitch)


def _aslant(reach: ReachableHoles) -> Flags:
    """Return which pads look up and aside at once, (m,): their holes move with their height."""
    aslant: Flags = (np.abs(reach.normal[:, 2]) > LEVEL) & (np.hypot(reach.normal[:, 0], reach.normal[:, 1]) > LEVEL)
    return aslant


def anywhere(bounds: MatchFloors, meets: Flags | None = None) -> Array:
    """Return the floor of every position of an orientation, cents (1,), with all pads and clamps where they like.

    With `meets` (k, m) only some pads meet their faces, (k,).
    """
    meets = np.ones((1, len(bounds.found)), dtype=bool) if meets is None else meets
    wide = np.full(meets.shape, np.inf)
    there = AlongAxis(meets, np.ones((len(meets), len(bounds.windows)), dtype=bool), -wide, wide)
    return bounds.floors(there, there)
