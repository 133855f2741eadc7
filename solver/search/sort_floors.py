"""Floors under the price of whole sorts of fixtures before they are looked at: a weldment above the table, pieces on arms.

What any piece could do at any height counts as if it could do it at the height asked; parts that lay on the table need rests
where they are carried above it.
"""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np

from solver.geometry.tolerances import LEVEL
from solver.hardware.matching import matches
from solver.hardware.reachable_holes import ReachableHoles
from solver.laying.laid_weldment import LaidWeldment
from solver.position.floors.match_floors import AlongAxis, MatchFloors
from solver.search.orientation import Orientation, priced_stacks, with_arm_cents
from solver.search.state import SearchState


def raised_floor(state: SearchState, orientation: Orientation) -> int | None:
    """Return the least total of a fixture in which no part lies on the table, cents; None if there is none at any height."""
    laid = orientation.laid
    floor = _at_any_height(
        state, orientation, replace(laid, touches=tuple(touch for touch in laid.touches if not touch.on_table))
    )
    return state.price.cents(floor) if math.isfinite(floor) else None


def armed_floor(state: SearchState, orientation: Orientation) -> int | None:
    """Return the least total of a fixture with an arm, cents; None if there is none. Its top piece costs what it does alone."""
    arm = with_arm_cents(state.request, state.stock, state.shelf(orientation.bounds.pitch))
    floor = _at_any_height(state, orientation, orientation.laid) + arm
    return state.price.cents(floor) if math.isfinite(floor) else None


def _at_any_height(state: SearchState, orientation: Orientation, laid: LaidWeldment) -> float:
    """Return what pieces cost at least, cents, if each could meet any face it looks at, in any order of loading."""
    shelf, loose = state.shelf(orientation.bounds.pitch), replace(laid, any_order=True)
    stacks, found = matches(shelf, loose, any_height=True)
    prices = [cents for _, cents in priced_stacks(state.request, state.stock, shelf, stacks)]
    reach = ReachableHoles.of(stacks, found)
    slanted = (np.abs(reach.normal[:, 2]) > LEVEL) & (np.hypot(reach.normal[:, 0], reach.normal[:, 1]) > LEVEL)
    at_other_heights = np.where(slanted[:, None, None], [-np.inf, np.inf], reach.box)  # its holes move with its height
    return anywhere(MatchFloors.of(loose, replace(reach, box=at_other_heights), prices, orientation.bounds.pitch))


def anywhere(bounds: MatchFloors) -> float:
    """Return the floor of every position of an orientation, cents, with all pads and clamps where they like."""
    wide = np.full((1, len(bounds.found)), np.inf)
    there = AlongAxis(np.ones(wide.shape, dtype=bool), np.ones((1, len(bounds.windows)), dtype=bool), -wide, wide)
    return float(bounds.floors(there, there)[0])
