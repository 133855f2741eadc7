"""Random choices of candidates, allowed or not by some rows of one order and by the same rows of several."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import replace
from random import Random

from solver.model.any_order.order_variables import OrderVariables, declare_orders
from solver.model.cpsat import feasible
from solver.model.families import FromStart
from solver.model.program import Program
from solver.model.variables import Variables, declare
from solver.position.problem import Problem
from tests.solver.model.any_order.positions import ORDERS, Place, places_in_orders

Post = Callable[[Program, Variables, Problem, OrderVariables], None]


def verdicts(seed: int, post: Post, *families: FromStart) -> Iterator[tuple[list[bool], bool]]:
    """Yield for random choices whether each order alone allows them, and whether all orders at once do."""
    draw = Random(seed)
    for place in places_in_orders(seed, 2):
        alone = [_alone(place, number, *families) for number in range(len(ORDERS))]
        at_once = _at_once(place, post)
        known = [{key(problem, index): index for index in range(len(problem.candidates))} for _, _, problem in (*alone, at_once)]
        everywhere = sorted(set.intersection(*(set(names) for names in known)))
        for _ in range(6):
            standing = set(draw.sample(everywhere, draw.randint(1, len(everywhere)))) if everywhere else set()
            allowed = [
                _allows(program, variables, {names[name] for name in standing})
                for (program, variables, _), names in zip((*alone, at_once), known, strict=True)
            ]
            yield allowed[:-1], allowed[-1]


def key(problem: Problem, index: int) -> tuple[object, ...]:
    """Return what tells a candidate from all others of its lattice."""
    candidate = problem.candidates[index]
    pieces = tuple((level.item.id, level.turn) for level in candidate.stack.levels)
    return pieces, candidate.hole, -1.0 if candidate.setting is None else candidate.setting


def _alone(place: Place, number: int, *families: FromStart) -> tuple[Program, Variables, Problem]:
    program, problem = Program(), place.problem(number)
    variables = declare(program, problem)
    for family in families:
        family.post(program, variables, problem)
    return program, variables, problem


def _at_once(place: Place, post: Post) -> tuple[Program, Variables, Problem]:
    program, problem = Program(), replace(place.problem(), groups=())
    variables = declare(program, problem)
    post(program, variables, problem, declare_orders(program, place.choices, range(len(ORDERS))))
    return program, variables, problem


def _allows(program: Program, variables: Variables, standing: set[int]) -> bool:
    copy = program.copy()
    for index, variable in enumerate(variables.candidates):
        copy.low[variable] = copy.high[variable] = int(index in standing)
    return feasible(copy, 10.0) == "optimal"
