"""Preferred: of all fixtures at the price found, on whichever lattice position, the one a fitter would choose.

In words: every position at which a fixture may cost no more is asked for one, of those above the table, with arms or in other
orders of loading the ones that have been asked before. At each the preferences decide
(`model.preferences`); between positions the truest is taken first, then the stiffest, then what the preferences come to, tier by
tier.
"""

from __future__ import annotations

import heapq
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

from solver.deadline import DeadlinePassed
from solver.model.bounds.difference import Unlike
from solver.model.choice import Choice
from solver.model.position_model import Preferred
from solver.position.locating_errors import largest_error
from solver.position.problem import Problem
from solver.search.lattice_position import Found, LatticePosition
from solver.search.next_position import next_position
from solver.search.position_models import model_at
from solver.search.state import SearchState

MOST_ASKED = 24
"""So many positions are asked at most beside the one found."""
ERROR_STEP_MM = 0.01
"""Locating errors are compared to so many mm."""
Merit = tuple[float, float, tuple[int, ...]]
"""Locating error in steps, stiffness in N/mm with its sign turned, and what each tier comes to: the less the better."""


@dataclass(frozen=True)
class Liked:
    """A fixture and how well a fitter likes it."""

    found: Found
    merit: Merit


def preferred(state: SearchState, found: Found, alike: Callable[[LatticePosition], Sequence[Unlike]], *, through: bool) -> Found:
    """Return the fixture preferred among all at the price of one that was found.

    Where the search went `through` all that may be cheaper, positions not surveyed yet that may hold one as cheap are surveyed
    too.
    """
    with state.deadline.in_force():
        try:
            best = _liked(state, found, alike(found.position))
        except DeadlinePassed:
            return found
    cents = found.choice.cents
    waiting = [each for each in state.positions if each.floor <= cents and each is not found.position and _worth(each, through)]
    heapq.heapify(waiting)
    openings, state.openings = state.openings, []
    for _ in range(MOST_ASKED):
        position = next_position(state, waiting, cents)
        if position is None:
            break
        if position is found.position:
            continue
        with state.deadline.in_force():
            try:
                other = _at(state, position, cents, alike(position))
            except DeadlinePassed:
                break
        if other is not None and other.merit < best.merit:
            best = other
    state.openings = openings
    return replace(best.found, written=found.written)


def _worth(position: LatticePosition, through: bool) -> bool:
    """Return whether a position is soon asked: it has its model, or lies on the table, no arms beside it, in one order."""
    plain = not position.orientation.sort and not position.orientation.several and not position.elsewhere
    return position.model is not None or (plain and (position.ready or through))


def _at(state: SearchState, position: LatticePosition, cents: int, unlike: Sequence[Unlike]) -> Liked | None:
    """Return what is preferred at another position, None if there is nothing as cheap."""
    model = model_at(state, position)
    outcome = model.cheapest(state.deadline, seed=state.request.seed, work=state.work_left, ceiling=cents, unlike=unlike)
    state.tally.solves += outcome.solves
    state.tally.work += outcome.work
    if outcome.choice is None:
        return None
    return _liked(state, Found(position, model, outcome.choice), unlike)


def _liked(state: SearchState, found: Found, unlike: Sequence[Unlike]) -> Liked:
    own: Preferred = found.model.preferred(found.choice, state.deadline, unlike=unlike, seed=state.request.seed)
    error, stiffness = _measured(found.model.problem, own.choice)
    return Liked(replace(found, choice=own.choice), (error, -stiffness, own.wishes))


def _measured(problem: Problem, choice: Choice) -> tuple[float, float]:
    """Return the locating error in steps and the least stiffness of a stack that locates, N/mm."""
    stiffness = [problem.candidates[index].stack.stiffness for index in choice.candidates if not problem.candidates[index].clamp]
    return round(largest_error(problem, choice.candidates) / ERROR_STEP_MM), round(min(stiffness, default=0.0), 3)
