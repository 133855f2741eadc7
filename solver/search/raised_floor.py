"""A floor under the price of every fixture that carries a weldment above the table, before it is laid out there.

Parts that lay on the table need rests instead; what any piece could do at any height counts as if it could do it at this one.
"""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np

from solver.hardware.matching import matches
from solver.hardware.reachable_holes import ReachableHoles
from solver.position.floors.match_floors import AlongAxis, MatchFloors
from solver.search.orientation import Orientation, priced_stacks
from solver.search.state import SearchState


def raised_floor(state: SearchState, orientation: Orientation) -> int | None:
    """Return the least total of a fixture in which no part lies on the table, cents; None if there is none at any height."""
    shelf = state.shelf(orientation.bounds.pitch)
    laid = orientation.laid
    floating = replace(laid, touches=tuple(touch for touch in laid.touches if not touch.on_table), any_order=True)
    stacks, found = matches(shelf, floating, any_height=True)
    prices = [cents for _, cents in priced_stacks(state.request, state.stock, shelf, stacks)]
    bounds = MatchFloors.of(floating, ReachableHoles.of(stacks, found), prices, orientation.bounds.pitch)
    floor = anywhere(bounds)
    return state.price.cents(floor) if math.isfinite(floor) else None


def anywhere(bounds: MatchFloors) -> float:
    """Return the floor of every position of an orientation, cents, with all pads and clamps where they like."""
    wide = np.full((1, len(bounds.found)), np.inf)
    there = AlongAxis(np.ones(wide.shape, dtype=bool), np.ones((1, len(bounds.windows)), dtype=bool), -wide, wide)
    return float(bounds.floors(there, there)[0])
