"""Trying everything, against CP-SAT on small random programs."""

from __future__ import annotations

import random
from collections.abc import Callable

import pytest

from solver.model.cpsat import solve
from solver.model.program import Program
from solver.model.witness import satisfied
from tests.benchmarks.enumeration import cheapest


def random_program(seed: int) -> Program:
    """Twelve variables, some not binary, some that make it cheaper; rows with both ends, and cliques."""
    chance = random.Random(seed)
    program = Program()
    variables = [program.variable(0, chance.choice((1, 1, 1, 3))) for _ in range(12)]
    for _ in range(4):
        terms = [(v, chance.choice((-2, -1, 1, 2, 3))) for v in chance.sample(variables, 5)]
        low = chance.randint(0, 3)
        program.row("count", terms, low=low, high=low + chance.choice((0, 2, 9)))
    binary = [v for v in variables if program.high[v] == 1]
    program.at_most_one(chance.sample(binary, min(3, len(binary))))
    program.cost({v: chance.randint(-3, 9) for v in variables}, 50)
    return program


@pytest.mark.parametrize("seed", range(40))
def test_it_finds_what_cp_sat_finds(seed: int) -> None:
    program = random_program(seed)
    known, found = solve(program, seed=1, seconds=10.0), cheapest(program, lambda: False)
    assert (found.verdict, found.value) == (known.verdict, known.value)
    assert found.values is None or (satisfied(program, found.values) and program.value(found.values) == found.value)


def test_random_programs_are_of_both_kinds() -> None:
    verdicts = [cheapest(random_program(seed), lambda: False).verdict for seed in range(40)]
    assert verdicts.count("optimal") > 8 and verdicts.count("infeasible") > 8


def test_it_ends_when_time_is_up_with_the_cheapest_so_far() -> None:
    """After four steps: no solution yet, or one that is not proved the cheapest."""
    long = [program for program in map(random_program, range(40)) if cheapest(program, lambda: False).branches > 9]
    cut = [cheapest(program, steps(4)) for program in long]
    assert {entry.verdict for entry in cut} == {"unknown", "feasible"}
    assert all((entry.values is None) == (entry.verdict == "unknown") and entry.branches <= 4 for entry in cut)


def steps(count: int) -> Callable[[], bool]:
    """Return what says that time is up once it has been asked so many times."""
    asked = iter([False] * count)
    return lambda: next(asked, True)
