"""Programs handed to CP-SAT: a row becomes the clause or clique it is, and allows what it allowed."""

from __future__ import annotations

from itertools import product
from random import Random

import pytest

from solver.deadline import Deadline
from solver.model.cpsat import solve
from solver.model.cpsat_model import model_of
from solver.model.program import INFINITE, Program, Term


@pytest.mark.parametrize(
    ("coefficients", "low", "high", "kind", "literals"),
    [
        ((1, 1, 1), -INFINITE, 1, "at_most_one", [0, 1, 2]),
        ((1, 1, 1), 1, INFINITE, "bool_or", [0, 1, 2]),
        ((1, 1, 1), 1, 1, "exactly_one", [0, 1, 2]),
        ((-1, 1, 1), 0, INFINITE, "bool_or", [-1, 1, 2]),
        ((1, -1), -INFINITE, 0, "at_most_one", [0, -2]),
        ((1, 1, 1), -INFINITE, 2, "bool_or", [-1, -2, -3]),
        ((1,), -INFINITE, 0, "bool_or", [-1]),
        ((), 1, INFINITE, "bool_or", []),
    ],
)
def test_a_row_that_counts_binaries_is_a_clause_or_a_clique(
    coefficients: tuple[int, ...], low: int, high: int, kind: str, literals: list[int]
) -> None:
    program = Program()
    program.row("row", [(program.variable(), coefficient) for coefficient in coefficients], low, high)
    (constraint,) = model_of(program).proto.constraints
    assert list(getattr(constraint, kind).literals) == literals


def test_a_row_that_counts_farther_or_weighs_is_a_sum_with_terms_in_order() -> None:
    program = Program()
    one, other, many = program.variable(), program.variable(), program.variable(0, 9)
    program.row("row", [(many, 1), (one, 1)], high=1)
    program.row("row", [(other, 3), (one, -2)], low=-1, high=2)
    sums = [constraint.linear for constraint in model_of(program).proto.constraints]
    assert [list(row.vars) for row in sums] == [[0, 2], [0, 1]]
    assert [list(row.coeffs) for row in sums] == [[1, 1], [-2, 3]]
    assert list(sums[1].domain) == [-1, 2]


def test_a_row_that_shuts_nothing_out_is_left_out() -> None:
    program = Program()
    one, other = program.variable(), program.variable()
    program.row("row", [(one, 1), (other, -1)], low=-1, high=1)
    program.row("row", [(one, 5)])
    assert len(model_of(program).proto.constraints) == 0


def test_every_row_of_up_to_four_binaries_allows_what_its_sum_allows() -> None:
    """Coefficients -1 to 2 and many ends; asked is the allowed solution nearest to a drawn one, found by trying all as well."""
    draw, verdicts = Random(5), []
    for _ in range(150):
        terms: list[Term] = [
            (v, draw.choice((-1, 1, 1, 1, 2) if draw.random() < 0.3 else (-1, 1))) for v in range(draw.randint(0, 4))
        ]
        low = draw.choice((-INFINITE, *range(-3, 4)))
        high = draw.choice((INFINITE, *range(max(low, -3), 4)))
        values = draw.choice(list(product((0, 1), repeat=len(terms))))
        program = Program()
        for value in values:
            program.cost({program.variable(): 1 - 2 * value}, value)
        program.row("row", terms, low, high)
        allowed = [v for v in product((0, 1), repeat=len(terms)) if low <= sum(c * v[k] for k, c in terms) <= high]
        nearest = min((sum(a != b for a, b in zip(v, values, strict=True)) for v in allowed), default=None)
        solved = solve(program, seed=1, seconds=10.0)
        verdicts.append(solved.verdict)
        assert solved.value == nearest, (terms, low, high, values)
    assert {"optimal", "infeasible"} == set(verdicts)


def test_a_search_stops_in_its_middle_once_the_caller_wants_to_end() -> None:
    """Four sums that must come to half of all: too hard for the work that is allowed: a market split, source not checked."""
    draw, program = Random(3), Program()
    chosen = [program.variable() for _ in range(30)]
    for _ in range(4):
        weights = [draw.randint(1, 99) for _ in chosen]
        program.row("sum", list(zip(chosen, weights, strict=True)), sum(weights) // 2, sum(weights) // 2)
    with Deadline(lambda: 100.0, lambda: True).in_force():
        stopped = solve(program, seed=1, seconds=100.0, work=4.0)
    assert stopped.verdict == "unknown"
    assert stopped.work < 2.0
