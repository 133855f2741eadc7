"""Clamped, whatever the order: what bears a clamp, and what it pushes a part against, as the part's case gives it.

In words: as in the family clamped; a clamp needs a rest, or a stop, only in the cases in which no earlier part is there for it.
Formula: x_c <= sum {x_r : rest within over_support} + sum {case_k that bear c};  x_c <= any_stop + sum {case_k that stop c}.
Source: the family clamped.

Example:

```text
        clamp tip           lug on the branch:  borne if the branch is in before it
            v               x_clamp <= x_rest + lug_after_branch
     +-------------+
     |     lug     |
     +-------------+  [rest]
```
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from inventory.shapes import Array
from solver.geometry.plan_view import beside_patch
from solver.hardware.clamp_lines import DOWN, THREAD
from solver.laying.laid_weldment import LaidWeldment
from solver.model.any_order.order_variables import OrderCase, OrderVariables
from solver.model.families.from_start import clamped
from solver.model.program import Program
from solver.model.variables import Variables
from solver.position.problem import Problem


def post(program: Program, variables: Variables, problem: Problem, orders: OrderVariables) -> None:
    """Add the rows of this family."""
    clamped.post(program, variables, replace(problem, over={}))
    for part in problem.laid.parts:
        cases = [case for _, case in orders.of_part(part.index)]
        _over(program, variables, problem, cases, part.index)
        _against(program, variables, problem, cases, part.index)


def _over(program: Program, variables: Variables, problem: Problem, cases: Sequence[OrderCase], part: int) -> None:
    """Ask that rests bear the clamps that press down on a part, where its case does not."""
    pressing = [index for index in problem.serving[part] if _push(problem, index)[2] < DOWN]
    if not pressing:
        return
    at = np.array([problem.candidates[index].meetings[-1].at for index in pressing])
    reach = problem.laid.rules["clamp.over_support"] - THREAD
    borne = np.zeros((len(cases), len(pressing)), dtype=bool)
    for row, case in enumerate(cases):
        for touch in case.laid.supports_of(part):
            borne[row] |= beside_patch(touch.patch, at, reach)
    lacking = np.flatnonzero(~borne.all(axis=0)).tolist()
    if not lacking:
        return
    near = np.array([beside_patch(patch, at[lacking], reach) for _, patch in problem.supports[part]], dtype=bool)
    near = near.reshape(-1, len(lacking))
    rests = [variables.candidates[index] for index, _ in problem.supports[part]]
    for column, clamp in enumerate(lacking):
        bearing = dict.fromkeys(rests[k] for k in np.flatnonzero(near[:, column]).tolist())
        holds = [case.holds for row, case in enumerate(cases) if borne[row, clamp]]
        terms = [(variables.candidates[pressing[clamp]], -1), *((variable, 1) for variable in (*bearing, *holds))]
        program.row("clamp.over_support", terms, 0)


def _against(program: Program, variables: Variables, problem: Problem, cases: Sequence[OrderCase], part: int) -> None:
    """Ask that side clamps push a part against stops, where what is in before it in its case is no stop."""
    known: dict[tuple[frozenset[int], tuple[int, ...]], int] = {}
    stopping: dict[bytes, tuple[int, ...]] = {}
    for index, pushed in problem.against.items():
        if not pushed.already or problem.candidates[index].meetings[-1].part != part:
            continue
        push = _push(problem, index)
        if push.tobytes() not in stopping:
            stopping[push.tobytes()] = tuple(case.holds for case in cases if _stops(case.laid, part, push))
        holds = stopping[push.tobytes()]
        if len(holds) == len(cases):
            continue
        key = (pushed.stops, holds)
        if key not in known:
            known[key] = program.variable()
            stops = [(variables.candidates[stop], 1) for stop in sorted(pushed.stops)]
            program.row("clamp.against", [(known[key], -1), *stops, *((variable, 1) for variable in holds)], 0)
        program.row("clamp.against", [(variables.candidates[index], -1), (known[key], 1)], 0)


def _push(problem: Problem, index: int) -> Array:
    push = problem.candidates[index].stack.push
    assert push is not None
    return push


def _stops(laid: LaidWeldment, part: int, push: Array) -> bool:
    return any(float(touch.normal @ push) < -0.5 for touch in laid.touches_of(part))
