"""What each tier of preferences wishes, on a flat bar with stops all around it: the price is the same for all."""

from __future__ import annotations

from collections.abc import Callable
from itertools import pairwise

import numpy as np
import pytest

from solver.deadline import Deadline
from solver.model.position_model import PositionModel
from solver.model.preferences import TIERS, handy, preferring, tidy, true
from solver.model.program import Program
from solver.model.variables import Variables, declare
from solver.position.problem import Problem
from tests import builders as b
from tests.properties.shops import sliding_stop
from tests.solver.model.positions import position
from tests.solver.model.small import BAR, across, bar, clamps, ends

Wish = Callable[[Program, Variables, Problem], None]


def comes_to(problem: Problem, wish: Wish, chosen: list[int]) -> int:
    """Return what a tier comes to where exactly some candidates stand."""
    program = Program()
    variables = declare(program, problem)
    wish(program, variables, problem)
    values = [0] * len(program.low)
    for index in chosen:
        values[variables.candidates[index]] = 1
    for row in program.rows:  # what counts as used, or is uneven, is the least the rows allow
        *terms, (last, coefficient) = row.terms
        values[last] = max(values[last], sum(c * values[v] for v, c in terms) // -coefficient)
    return program.value(values)


def test_side_points_far_apart_are_truer() -> None:
    side = across(bar())
    assert comes_to(bar(), true.wish, [side[0], side[-1]]) < comes_to(bar(), true.wish, [side[1], side[2]])


def test_pads_that_bear_fully_are_tidier() -> None:
    """With a hole 5 mm beside its end, the first stop bears on 19 of 28 mm."""
    problem = position(b.request(BAR), b.shelf((b.stop(), 4)), (5, 0))
    wide = {k: float(np.ptp(problem.candidates[k].meetings[0].patch[:, 0])) for k in across(problem)}
    part, whole = min(wide, key=lambda k: wide[k]), max(wide, key=lambda k: wide[k])
    assert (wide[part], wide[whole]) == (19, 28)
    assert comes_to(problem, tidy.wish, [part]) > comes_to(problem, tidy.wish, [whole])


def test_stops_in_one_row_are_tidier() -> None:
    side, end = across(bar()), ends(bar())
    in_a_row = comes_to(bar(), tidy.wish, [side[1], side[2]])
    assert in_a_row < comes_to(bar(), tidy.wish, [side[1], end[0]])


def test_side_points_even_about_the_middle_are_handier() -> None:
    """The bar is 240 long and its stops 40 mm apart: what stands even on either side comes to less."""
    side = across(bar())
    middle = {k: float(bar().candidates[k].meetings[0].patch[:, 0].mean()) - 120 for k in side}
    pairs = [(one, other) for one in side for other in side if one < other]
    even, uneven = (choose(pairs, key=lambda pair: abs(middle[pair[0]] + middle[pair[1]])) for choose in (min, max))
    assert comes_to(bar(), handy.wish, [*even]) < comes_to(bar(), handy.wish, [*uneven])


def test_a_clamp_near_the_weld_is_handier() -> None:
    base, rib = b.bar("base", 60, 20, 400, (0, 0, 10)), b.plate("rib", (8, 60), 40, (20, -30, 20))
    weldment = b.weldment(base, rib, welds=[b.fillet("w", ("base", "rib"), (28, -30, 20), (28, 30, 20))])
    problem = position(b.request(weldment), b.shelf((b.stop(), 4), (b.down_clamp(high=150), 2)), (15, 0))
    along = {
        k: float(problem.candidates[k].meetings[0].at[0]) for k in clamps(problem) if problem.candidates[k].meetings[0].part == 0
    }
    near, far = min(along, key=lambda k: along[k]), max(along, key=lambda k: along[k])
    assert comes_to(problem, handy.wish, [near]) < comes_to(problem, handy.wish, [far])


def test_settings_at_round_numbers_are_handier() -> None:
    problem = position(b.request(BAR), b.shelf((sliding_stop(travel=25, step=0.5), 4)), (15, 3.5))
    odd = [handy._odd(candidate) for candidate in problem.candidates]
    settings = [candidate.setting for candidate in problem.candidates]
    assert {setting for setting, by in zip(settings, odd, strict=True) if by == 0} <= {0, 5, 10, 15, 20, 25, None}
    assert any(odd)


@pytest.mark.parametrize("tier", range(len(TIERS)))
def test_a_tier_keeps_what_those_before_it_came_to(tier: int) -> None:
    model = PositionModel(bar())
    deadline = Deadline(lambda: 20.0)
    outcome = model.cheapest(deadline, seed=1, work=None)
    assert outcome.choice is not None
    liked = model.preferred(outcome.choice, deadline, unlike=(), seed=1)
    assert liked.choice.cents == outcome.choice.cents and len(liked.wishes) == len(TIERS)
    wanted = preferring(model.program, model.variables, model.problem, outcome.choice.cents, liked.wishes[:tier])
    for one, other in pairwise(liked.wishes[:tier]):
        assert one >= 0 and other >= 0
    chosen = list(liked.choice.candidates)
    assert comes_to(model.problem, tidy.wish, chosen) <= liked.wishes[1]
    assert comes_to(model.problem, handy.wish, chosen) <= liked.wishes[2]
    assert wanted.objective
