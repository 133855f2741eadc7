"""The model of a lattice position, built once from its surveyed sites."""

from __future__ import annotations

from collections.abc import Mapping

from solver.cost import fixtures_on_table
from solver.model.any_order.orders_model import OrdersModel
from solver.model.objective import MovingCost
from solver.model.position_model import PositionModel
from solver.position.arrangement.room import Room
from solver.position.problem import Problem
from solver.position.problem_of import problem_of
from solver.position.seats import usable_holes
from solver.search.lattice_position import LatticePosition
from solver.search.state import SearchState
from solver.search.variants.at_position import problems_beside


def model_at(state: SearchState, position: LatticePosition) -> PositionModel:
    """Return the model of a surveyed position, built the first time; missing pieces of barred items are not for sale."""
    if position.model is None:
        assert position.sites is not None
        state.tally.built += 1
        orientation = position.orientation
        problem = problem_of(
            state.request, state.stock, position.laid, position.sites, orientation.torch, orientation.times, position.table,
            position.seats, _room(state, position),
        )  # fmt: skip
        floors_by_part = () if position.locating is None else tuple(position.locating.tolist())
        beside = problems_beside(state.request, state.stock, position.beside, position.table)
        position.model = PositionModel(
            problem, floors_by_part, _moving(state, position, problem), state.motions, beside, state.motions_beside
        )
        position.sites, position.beside = None, ()
    for item in state.barred & set(position.model.variables.buy):
        position.model.program.high[position.model.variables.buy[item]] = 0
    return position.model


def orders_model_at(state: SearchState, position: LatticePosition, by_order: Mapping[int, int]) -> OrdersModel:
    """Return the model for some orders of loading of a surveyed position, what each costs at least, built the first time."""
    if position.in_any_order is None:
        assert position.sites is not None and position.locating is not None
        state.tally.built += 1
        orientation = position.orientation
        problem = problem_of(
            state.request, state.stock, orientation.laid, position.sites, orientation.torch, orientation.times, position.table
        )
        position.in_any_order = OrdersModel(
            problem,
            orientation.bounds.choices,
            dict(by_order),
            position.locating.tolist(),
            _moving(state, position, problem),
            state.motions,
        )
    return position.in_any_order


def _room(state: SearchState, position: LatticePosition) -> Room | None:
    """Return the table of a position as several stations share it, None if one is asked for."""
    stations = fixtures_on_table(state.request)
    if stations == 1 or position.seat is None:
        return None
    table, lie = position.table, position.orientation.lie
    turns = tuple((turn, lie.quarters_to(turn)) for turn in lie.same_turns)
    asked = {round(turn % 360.0, 6) for turn in state.request.turn}
    narrow = any(round((turn + 180.0) % 360.0, 6) in asked - {round(same % 360.0, 6) for same, _ in turns} for turn, _ in turns)
    usable, edge = usable_holes(table, state.request.without), state.request.rules["clear.table_edge"]
    return Room(table, stations, position.seat, turns, usable, edge, narrow)


def _moving(state: SearchState, position: LatticePosition, problem: Problem) -> MovingCost | None:
    """Return what moving pieces of the plan to keep costs at a position; before it has its seat, at least."""
    if state.kept is None:
        return None
    if position.seat is None:
        return MovingCost(state.price.moving(position.staying), state.price.move_cents, (0,) * len(problem.candidates))
    stays = tuple(state.kept.staying(candidate, position.seat) for candidate in problem.candidates)
    return MovingCost(state.price.moving(0), state.price.move_cents, stays)
