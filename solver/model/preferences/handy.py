"""Handy: symmetric set-ups, clamps near the welds they hold, setting marks at round numbers.

In words: of what is equally true and tidy, first the one whose side points stand evenly about the middle of the part, then the
one whose clamps press near a weld, then the one whose settings are easily read. That clamps leave torch and hand room is asked
of all.
Formula: sum of 60,000 s_g + sum of 200 far_i x_i + sum of odd_i x_i, with s_g >= |sum of off_i x_i| for each side group g: off_i
in tenths of half its reach, whole; far_i: one for each 30 mm beyond 60 to the nearest weld of its part, 9 at most; odd_i: 0 for a
setting of whole 5 mm, 1 for whole mm, 2 for half mm, else 3.
Source: common practice, no source.
"""

from __future__ import annotations

import numpy as np

from inventory.shapes import Array
from solver.hardware.candidates import Candidate
from solver.model.program import Program
from solver.model.variables import Variables
from solver.position.problem import Problem

UNEVEN, FAR, ODD = 60_000, 200, 1
NEAR_MM, STEP_MM, FARTHEST = 60.0, 30.0, 9
TENTHS = 9
EVEN = 1e-6


def wish(program: Program, variables: Variables, problem: Problem) -> None:
    """Add how uneven side points stand, how far clamps press from welds, how odd settings are."""
    _even(program, variables, problem)
    costs: dict[int, int] = {}
    welds = _welds(problem)
    for stack, candidate in zip(variables.candidates, problem.candidates, strict=True):
        far = min((_far(candidate.meetings[0].at, path) for path in welds.get(candidate.meetings[0].part, ())), default=0)
        costs[stack] = FAR * far if candidate.clamp else ODD * _odd(candidate)
    program.cost({stack: cost for stack, cost in costs.items() if cost})


def _even(program: Program, variables: Variables, problem: Problem) -> None:
    for group in problem.groups:
        low, high = min(point.low for point in group.points), max(point.high for point in group.points)
        if group.around or high - low <= 1.0:
            continue
        off = {
            variables.candidates[point.candidate]: round(TENTHS * (point.low + point.high - low - high) / (high - low))
            for point in group.points
            if point.candidate is not None
        }
        most = sum(abs(tenths) for tenths in off.values())
        if most:
            uneven = program.variable(0, most)
            for sign in (1, -1):
                program.row("preferred", [*((stack, sign * tenths) for stack, tenths in off.items()), (uneven, -1)], high=0)
            program.cost({uneven: UNEVEN})


def _welds(problem: Problem) -> dict[int, list[Array]]:
    """Return the paths of each part's welds as they lie, (k, 3) each."""
    number = {part.id: part.index for part in problem.laid.parts}
    found: dict[int, list[Array]] = {}
    for weld, path in zip(problem.laid.weldment.welds, problem.laid.paths, strict=True):
        for part in weld.parts:
            found.setdefault(number[part], []).append(path)
    return found


def _far(at: Array, path: Array) -> int:
    """Return how many steps beyond near a place is from a path."""
    starts, ends = path[:-1], path[1:]
    along = ends - starts
    share = np.clip(((at - starts) * along).sum(axis=1) / np.maximum((along**2).sum(axis=1), EVEN), 0.0, 1.0)
    distance = float(np.linalg.norm(starts + share[:, None] * along - at, axis=1).min())
    return min(FARTHEST, max(0, round((distance - NEAR_MM) / STEP_MM)))


def _odd(candidate: Candidate) -> int:
    """Return how odd a setting is to read; nothing for what has none."""
    if candidate.setting is None:
        return 0
    marks = [candidate.setting / step for step in (5.0, 1.0, 0.5)]
    return next((odd for odd, mark in enumerate(marks) if abs(mark - round(mark)) < EVEN), len(marks))
