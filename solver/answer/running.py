"""A choice in use: which way the torch comes, in what order parts go in and clamps close, how the weldment leaves."""

from __future__ import annotations

import numpy as np

from inventory.shapes import Array
from solver.answer.placements import Setting
from solver.candidates.blocking import TorchWays, Way, torch_blocks, way_blocks
from solver.candidates.placing import bodies
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
    ways = {part: _open_way(setting, part) for part in order}
    clamps = [index for index in setting.ordered if problem.candidates[index].clamp]
    closing: dict[int, int] = {}
    for clamp in clamps:
        pressed = [order.index(part) for part in range(len(assembly.parts)) if clamp in problem.serving[part]]
        step = max(pressed)
        shut = bodies([problem.candidates[clamp]])
        for later in range(len(order) - 1, step, -1):
            way = ways[order[later]]
            if way is None or way_blocks([order[later]], way, assembly, [problem.candidates[clamp]], shut, Hulls.of([], [])):
                step = later
                break
        closing[clamp] = step
    steps = []
    for k, part in enumerate(order):
        way = ways[part]
        if way is None:
            return None
        moves = tuple(_move(setting, -move) for move in reversed(way.moves))
        steps.append(LoadStep(assembly.parts[part].id, moves, tuple(setting.ids[c][-1] for c in clamps if closing[c] == k)))
    return tuple(steps)


def unload(setting: Setting) -> Unload | None:
    """Return how the finished weldment leaves with all clamps open, None if no way is open."""
    problem = setting.problem
    way = _open_way(setting, len(problem.movers) - 1)
    if way is None:
        return None
    clamps = tuple(setting.ids[index][-1] for index in setting.ordered if problem.candidates[index].clamp)
    return Unload((), clamps, tuple(_move(setting, move) for move in way.moves))


def _open_way(setting: Setting, mover: int) -> Way | None:
    """Return the simplest way the chosen stands leave a mover."""
    options = setting.problem.ways(mover, setting.choice.stands)
    return next((way for way, blockers in options if not blockers), None)


def _move(setting: Setting, move: Array) -> Move:
    length = float(np.linalg.norm(move))
    return Move(setting.direction(move / length), round(length, 6))
