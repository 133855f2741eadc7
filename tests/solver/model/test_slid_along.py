"""A program with some variables held at 0 has the same solutions as the whole one with them at 0."""

from __future__ import annotations

import itertools
from random import Random

from solver.model.cpsat import solve
from solver.model.program import Program


def drawn(draw: Random) -> Program:
    program = Program()
    variables = [program.variable() for _ in range(7)]
    for _ in range(5):
        chosen = draw.sample(variables, 3)
        program.row("demo", [(v, draw.choice((-1, 1, 2))) for v in chosen], draw.choice((-1, 0, 1)), draw.choice((1, 2, 3)))
    program.at_most_one(draw.sample(variables, 3))
    program.cost({v: draw.randint(1, 9) for v in variables})
    return program


def test_a_program_without_some_variables_is_the_whole_one_with_them_at_zero() -> None:
    kept = 0
    for seed in range(60):
        draw = Random(seed)
        program = drawn(draw)
        out = frozenset(draw.sample(range(7), 3))
        held = program.copy()
        for variable in out:
            held.row("held", [(variable, 1)], 0, 0)
        few, whole = (solve(each, seed=1, seconds=5.0) for each in (program.without(out), held))
        assert (few.verdict, few.value) == (whole.verdict, whole.value)
        kept += whole.value is not None
    assert kept


def test_rows_that_come_later_are_taken_over_without_what_stays_zero() -> None:
    program = Program()
    a, b, c = (program.variable() for _ in range(3))
    few = program.without(frozenset({b}))
    program.row("demo", [(a, 1), (b, 1)], 1)
    program.at_most_one((a, b))
    program.at_most_one((a, c))
    few.take_over(program.rows, program.cliques, frozenset({b}))
    assert [row.terms for row in few.rows] == [((a, 1),)] and few.cliques == [(a, c)]
    allowed = [bits for bits in itertools.product((0, 1), repeat=3) if bits[a] >= 1 and bits[a] + bits[c] <= 1 and not bits[b]]
    assert allowed == [(1, 0, 0)]
    few.cost({a: 1, c: 1})
    assert solve(few, seed=1, seconds=5.0).values == [1, 0, 0]
