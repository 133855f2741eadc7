"""A choice in use: which way the torch comes, in what order parts go in and clamps close, how the weldment leaves."""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np

from inventory.items import Item
from inventory.shapes import Array
from solver.answer.placements import Setting
from solver.candidates.blocking import TorchWays, torch_blocks, way_blocks
from solver.candidates.placing import bodies
from solver.candidates.routes import Option
from solver.candidates.ways import Way
from solver.geometry.hulls import Hulls
from solver.plan import LoadStep, Move, Unload, WeldSamples


def weld_samples(setting: Setting, torch: TorchWays) -> tuple[WeldSamples, ...]:
    """Return a free torch direction for every sample, the straightest there is."""
    chosen = [setting.problem.candidates[index] for index in setting.choice.stands]
    shut = {way for way, _ in torch_blocks(torch, bodies(chosen))}
    by_weld: dict[int, list[tuple[tuple[float, float, float], tuple[float, float, float]]]] = {}
    for index, sample in enumerate(torch.samples):
        free = next(way for way in np.flatnonzero(torch.sample == index).tolist() if way not in shut)
        by_weld.setdefault(sample.weld, []).append((setting.point(sample.at), setting.direction(torch.direction[free])))
    welds = setting.problem.assembly.weldment.welds
    return tuple(WeldSamples(weld.id, tuple(by_weld.get(index, ()))) for index, weld in enumerate(welds))


def load_steps(setting: Setting) -> tuple[LoadStep, ...] | None:
    """Return how the parts go in, and when each clamp closes: as soon as its parts are in, if later parts still pass it.

    None if no way stays open for some part.
    """
    problem, assembly = setting.problem, setting.problem.assembly
    order = assembly.order or ()
    found = {part: _open_way(setting, part) for part in order}
    ways = {part: option.way for part, option in found.items() if option is not None}
    if len(ways) < len(order):
        return None
    clamps = [index for index in setting.ordered if problem.candidates[index].clamp]
    closing = {clamp: _closing(setting, clamp, ways) for clamp in clamps}
    steps = []
    for k, part in enumerate(order):
        moves = tuple(_move(setting, -move) for move in reversed(ways[part].moves))
        steps.append(LoadStep(assembly.parts[part].id, moves, tuple(setting.ids[c][-1] for c in clamps if closing[c] == k)))
    return tuple(steps)


def _closing(setting: Setting, clamp: int, ways: Mapping[int, Way]) -> int:
    """Return the load step after which a clamp closes: the first after which no part has to pass it any more."""
    problem, assembly = setting.problem, setting.problem.assembly
    order = assembly.order or ()
    first = max(order.index(part) for part in range(len(assembly.parts)) if clamp in problem.serving[part])
    candidate = [problem.candidates[clamp]]
    shut, nothing = bodies(candidate), Hulls.of([], [])
    for later in range(len(order) - 1, first, -1):
        part = order[later]
        if way_blocks([part], [ways[part]], assembly, candidate, shut, nothing)[0].candidates:
            return later
    return first


def unload(setting: Setting) -> tuple[Unload, tuple[Item, ...]] | None:
    """Return how the finished weldment leaves with all clamps open, and the items pulled first; None if no way is open."""
    problem = setting.problem
    found = _open_way(setting, problem.routes.out)
    if found is None:
        return None
    clamps = tuple(setting.ids[index][-1] for index in setting.ordered if problem.candidates[index].clamp)
    pulled = [index for index in setting.ordered if index in found.blockers]
    out = Unload(tuple(setting.ids[index][-1] for index in pulled), clamps, tuple(_move(setting, m) for m in found.way.moves))
    return out, tuple(problem.candidates[index].stand.top for index in pulled)


def _open_way(setting: Setting, mover: int) -> Option | None:
    """Return the simplest and shortest way the chosen stands leave a mover."""
    return setting.problem.routes.shortest(mover, setting.choice.stands, setting.choice.pulled)


def _move(setting: Setting, move: Array) -> Move:
    length = float(np.linalg.norm(move))
    return Move(setting.direction(move / length), round(length, 6))
