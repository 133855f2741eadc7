"""A choice in use: which way the torch comes, in what order parts go in and clamps close, how the weldment leaves."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

import numpy as np

from inventory.items import Item
from inventory.shapes import Array
from solver.access.route_blockers import route_blockers
from solver.access.routes import RouteOption
from solver.access.torch import TorchDirections, torch_blocks
from solver.answer.chosen_fixture import ChosenFixture
from solver.geometry.hulls import Hulls
from solver.hardware.candidates import bodies
from solver.laying.laid_weldment import LaidWeldment
from solver.laying.straight_moves import Route
from solver.plans import LoadStep, Move, Unload, WeldSamples


def weld_samples(fixture: ChosenFixture, torch: TorchDirections) -> tuple[WeldSamples, ...]:
    """Return a free torch direction for every sample, the straightest there is."""
    chosen = [fixture.problem.candidates[index] for index in fixture.choice.candidates]
    shut = {way for way, _ in torch_blocks(torch, bodies(chosen))}
    if fixture.copies is not None:
        shut |= fixture.copies.torch_shut(fixture.around)
    by_weld: dict[int, list[tuple[tuple[float, float, float], tuple[float, float, float]]]] = {}
    for index, sample in enumerate(torch.samples):
        free = next(way for way in np.flatnonzero(torch.sample == index).tolist() if way not in shut)
        by_weld.setdefault(sample.weld, []).append((fixture.point(sample.at), fixture.direction(torch.direction[free])))
    welds = fixture.problem.laid.weldment.welds
    return tuple(WeldSamples(weld.id, tuple(by_weld.get(index, ())), fixture.station) for index, weld in enumerate(welds))


def load_steps(fixture: ChosenFixture) -> tuple[LoadStep, ...] | None:
    """Return how the parts go in, and when each clamp closes: as soon as its parts are in, if later parts still pass it.

    Outer bodies go in after all parts. None if no way stays open for some part.
    """
    problem, laid = fixture.problem, fixture.problem.laid
    order = _loaded(laid)
    found = {part: _open_route(fixture, part) for part in order}
    ways = {part: option.route for part, option in found.items() if option is not None}
    if len(ways) < len(order):
        return None
    clamps = [index for index in fixture.ordered if problem.candidates[index].clamp]
    closing = {clamp: _closing(fixture, clamp, ways) for clamp in clamps}
    steps = []
    for k, part in enumerate(order):
        moves = tuple(_move(fixture, -move) for move in reversed(ways[part].moves))
        steps.append(
            LoadStep(
                laid.all_parts[part].id, moves, tuple(fixture.ids[c][-1] for c in clamps if closing[c] == k), fixture.station
            )
        )
    return tuple(steps)


def _loaded(laid: LaidWeldment) -> tuple[int, ...]:
    return (*(laid.order or ()), *(body.index for body in laid.bodies))


def _closing(fixture: ChosenFixture, clamp: int, ways: Mapping[int, Route]) -> int:
    """Return the load step after which a clamp closes: the first after which no part has to pass it any more."""
    problem, laid = fixture.problem, fixture.problem.laid
    order = _loaded(laid)
    first = max(order.index(part) for part in range(len(laid.parts)) if clamp in problem.serving[part])
    candidate = [problem.candidates[clamp]]
    shut, nothing = bodies(candidate), Hulls.of([], [])
    for later in range(len(order) - 1, first, -1):
        part = order[later]
        if route_blockers([part], [ways[part]], laid, candidate, shut, nothing)[0].candidates:
            return later
    return first


def unload(fixture: ChosenFixture) -> tuple[Unload, tuple[Item, ...]] | None:
    """Return how the finished weldment leaves with all clamps open, and the items pulled first; None if no way is open."""
    problem = fixture.problem
    found = _open_route(fixture, problem.routes.out)
    if found is None:
        return None
    clamps = tuple(fixture.ids[index][-1] for index in fixture.ordered if problem.candidates[index].clamp)
    pulled = [index for index in fixture.ordered if index in found.blockers]
    out = Unload(tuple(fixture.ids[index][-1] for index in pulled), clamps, tuple(_move(fixture, m) for m in found.route.moves))
    return out, tuple(problem.candidates[index].stack.top for index in pulled)


def _open_route(fixture: ChosenFixture, mover: int) -> RouteOption | None:
    """Return the simplest and shortest way that the chosen pieces, and all of the other stations, leave a mover."""
    found = fixture.problem.routes.shortest(mover, fixture.choice.candidates, fixture.choice.pulled)
    if found is None or fixture.copies is None:
        return found
    way = fixture.copies.way(mover, fixture.around)
    return None if way is None else replace(found, route=way)


def _move(fixture: ChosenFixture, move: Array) -> Move:
    length = float(np.linalg.norm(move))
    return Move(fixture.direction(move / length), round(length, 6))
