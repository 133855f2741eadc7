"""The objective is the price to the cent, however long the run: not a cent below it, not a cent above."""

from __future__ import annotations

import math
from dataclasses import replace
from fractions import Fraction
from functools import cache
from random import Random
from typing import Any

import pytest

from inventory.items import Item
from inventory.stock import StockSnapshot
from solver.cost import price
from solver.deadline import Deadline
from solver.model import objective
from solver.model.cpsat import solve
from solver.model.families.from_start import counted
from solver.model.objective import MovingCost
from solver.model.program import LARGEST
from solver.model.witness import witness
from solver.planning import plan
from solver.position.problem import Problem
from tests import builders as b
from tests.solver.model.enumeration import Budget, cheapest
from tests.solver.model.positions import Fixing, position
from tests.solver.model.small import BAR

QUANTITIES = (1, 3, 99_999, 100_001, 1_000_000, 9_999_999, 10_000_000)
RATES = (5500, 1800, 5500.37, 0.07, 999_999.99, 1234.56789, 0, 3600)
"""Labour, cents an hour: 1800 gives half cents at every odd second; the others have fractions that never end."""


def shelf() -> StockSnapshot:
    """Stops and risers that take halves and quarters of a second to place; a clamp that can be pulled each cycle, a quick one."""
    items = (
        (b.stop(place_s=31.5, day_rate_cents=17), 3), (b.stop("low", height=25, place_s=20), 3), (b.riser(place_s=12.25), 2),
        (b.down_clamp("clamp", close_s=2.3, open_s=0.7, place_s=45, removable=True, pull_s=1.35), 2),
        (b.down_clamp("quick", close_s=1, open_s=1, day_rate_cents=90), 2),
    )  # fmt: skip
    return b.shelf(*items)


@cache
def among() -> Problem:
    """A bar among that shelf's pieces, of which more may be bought."""
    return position(b.request(BAR, shortage="price", rules={"weights.scarce": 7}), shelf(), (15, 0))


def asking(quantity: int, rate: float, **more: Any) -> Problem:
    request = among().request
    rules = replace(request.rules, changes={**request.rules.changes, "rate.labour_cents_per_hour": rate})
    return replace(among(), request=replace(request, quantity=quantity, rules=rules, **more))


def pieces(problem: Problem, standing: list[int]) -> list[tuple[Item, bool]]:
    return [(level.item, depth > 0) for index in standing for depth, level in enumerate(problem.candidates[index].stack.levels)]


@pytest.mark.parametrize("quantity", QUANTITIES)
def test_the_objective_of_random_kits_is_the_price(quantity: int) -> None:
    draw = Random(quantity)
    for rate in RATES:
        problem = asking(quantity, rate, set_before=draw.random() < 0.3)
        rows = Fixing.of(problem, counted, objective)
        assert any(index in rows.variables.pull for index in problem.routes.pullable)
        for _ in range(2):
            standing = sorted(draw.sample(range(len(problem.candidates)), draw.randint(1, 9)))
            pulled = [index for index in standing if index in rows.variables.pull and draw.random() < 0.7]
            tops = [problem.candidates[index].stack.top for index in pulled]
            exact = price(problem.request, problem.stock, pieces(problem, standing), pulled=tops).cost.total_cents
            assert rows.cents(standing, pulled) == exact, (rate, standing, pulled)


@pytest.mark.parametrize("quantity", QUANTITIES)
def test_no_row_of_a_long_run_reaches_too_far(quantity: int) -> None:
    for rate in RATES:
        rows = Fixing.of(asking(quantity, rate), objective)
        program = rows.program
        within = program.copy()
        within.row("price", program.objective.items(), high=quantity * 10_000)
        for row in within.rows:
            assert sum(abs(c) * max(abs(within.low[v]), abs(within.high[v])) for v, c in row.terms) <= LARGEST


def test_both_solvers_find_the_same_price_of_ten_million_off() -> None:
    """The bar's side, end and clamp as cheap as they come, at an odd rate."""
    rows = Fixing.of(asking(10_000_000, 5500.37), counted, objective)
    stands = rows.variables.candidates
    for wanted in (False, True):
        own = [(stands[k], 1) for k, candidate in enumerate(among().candidates) if candidate.clamp is wanted]
        rows.program.row("fixed", own, 1 if wanted else 3)
    ours = solve(rows.program, seed=1, seconds=30.0)
    assert ours.verdict == "optimal" and witness(rows.program, 30.0) == ("optimal", ours.value)


def test_exact_halves_go_up_as_they_do_in_the_price() -> None:
    """At 1800 cents an hour every odd second ends on half a cent; the next cent is paid."""
    rows = Fixing.of(asking(1, 1800), objective)
    odd = 0
    for index in range(len(among().candidates)):
        exact = price(among().request, among().stock, pieces(among(), [index]))
        odd += exact.setup_s % 2 + exact.cycle_s % 2
        priced = price(rows.problem.request, among().stock, pieces(among(), [index])).cost.total_cents
        assert rows.cents([index]) == priced
    assert odd


def test_pieces_that_stay_as_they_stand_are_not_paid_for() -> None:
    rows = Fixing.of(asking(1, 5500), objective)
    standing = [0, 1]
    free = price(rows.problem.request, among().stock, pieces(among(), standing)).cost.total_cents
    stays = tuple(int(index == 1) for index in range(len(among().candidates)))
    objective.post_moving(rows.program, rows.variables, MovingCost(450, 150, stays))
    assert rows.cents(standing) == free + 300


def test_a_fraction_of_few_digits_rounds_like_one_of_many() -> None:
    draw = Random(5)
    for _ in range(300):
        most = draw.randint(1, 120)
        part = Fraction(draw.randint(0, 10**9), draw.randint(1, 10**9)) % 1
        short = objective._at_most(part, 2 * most)
        assert short <= part and short.denominator <= 2 * most
        for seconds in range(most + 1):
            assert math.floor(short * seconds + Fraction(1, 2)) == math.floor(part * seconds + Fraction(1, 2))


# --- whole plans ------------------------------------------------------------------------------------------------------


def a_small_job(quick_cents: int, slow_cents: int) -> tuple[StockSnapshot, Any]:
    """Three stops, a quick clamp (6 s a cycle) and a slow one (9 s), tied up for a day at these rates; ten million bars."""
    clamps = (
        (b.down_clamp("quick", day_rate_cents=quick_cents), 1),
        (b.down_clamp("slow", close_s=5, open_s=4, day_rate_cents=slow_cents), 1),
    )
    stock = b.shelf((b.stop(), 3), *clamps, tables=(b.table("T1", columns=9, rows=6),))
    return stock, b.request(BAR, 10_000_000, alternatives=1)


@pytest.mark.parametrize(("dearer_by", "cycle_cents"), [(45_833_332, 336_111_111), (45_833_334, 381_944_444)])
def test_ten_million_off_the_clamp_that_is_cheaper_by_a_cent_is_taken(dearer_by: int, cycle_cents: int) -> None:
    """At 5500 cents an hour three seconds of ten million cycles cost 45,833,333 and a third: the quick clamp may cost that more a day.

    Loading 8 s, unloading 8 s, the clamp 6 or 9 s: 22 or 25 s; 10,000,000 x 22 s x 5500 / 3600 = 336,111,111.11, and
    381,944,444.44 with the slow clamp: 45,833,333 cents between the rounded prices.
    """
    stock, request = a_small_job(50_000_000, 50_000_000 - dearer_by)
    found = plan(request, stock, deadline=Deadline(lambda: 100.0))
    best = found.alternatives[0]
    assert found.status == "optimal"
    assert best.cost.cycle_cents == cycle_cents
    assert found.cost_bound_cents == best.cost.total_cents == cheapest(request, stock, best.cost.total_cents, Budget())
