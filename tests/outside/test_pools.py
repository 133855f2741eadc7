"""Rows, CP-SAT and HiGHS against problems with published optima: a wrong row, bound or rounding would show here."""

from __future__ import annotations

from itertools import product

import pytest

from solver.model.cpsat import solve
from solver.model.program import Program
from solver.model.witness import feasible, witness


def covering(sets: list[list[int]], variables: int) -> Program:
    """Return the least number of binaries so that every set holds at least one."""
    program = Program()
    for _ in range(variables):
        program.variable()
    for one in sets:
        program.row("cover", [(k, 1) for k in one], 1)
    program.cost(dict.fromkeys(range(variables), 1))
    return program


def steiner(k: int) -> Program:
    """Return the covering problem of the lines {p, q, -p-q mod 3} of AG(k, 3)."""
    points = list(product(range(3), repeat=k))
    number = {point: index for index, point in enumerate(points)}
    lines = {
        tuple(sorted((number[p], number[q], number[tuple((-a - b) % 3 for a, b in zip(p, q, strict=True))])))
        for p in points
        for q in points
        if p != q
    }
    return covering([list(line) for line in sorted(lines)], len(points))


def board(n: int, attacks: str) -> Program:
    """Return the domination problem of kings or queens on an n x n board: every square taken or attacked."""
    squares = [(x, y) for x in range(n) for y in range(n)]

    def reached(a: tuple[int, int], b: tuple[int, int]) -> bool:
        dx, dy = abs(a[0] - b[0]), abs(a[1] - b[1])
        return max(dx, dy) <= 1 if attacks == "kings" else dx == 0 or dy in (0, dx)

    return covering([[k for k, other in enumerate(squares) if reached(square, other)] for square in squares], n * n)


def both(program: Program, seconds: float = 60.0) -> tuple[int | None, int | None]:
    solved = solve(program, seed=1, seconds=seconds)
    verdict, value = witness(program, seconds)
    assert (solved.verdict, verdict) == ("optimal", "optimal")
    assert solved.value == solved.bound
    return solved.value, value


# Optima of the Steiner triple covering family: Fulkerson, Nemhauser, Trotter 1974, "Two computationally difficult set covering
# problems that arise in computing the 1-width of incidence matrices of Steiner triple systems"; stn9 5, stn27 18 as listed in
# README.steiner_triple.txt of the or-tools data.
@pytest.mark.parametrize(("k", "points", "lines", "optimum"), [(2, 9, 12, 5), (3, 27, 117, 18)])
def test_steiner_triples(k: int, points: int, lines: int, optimum: int) -> None:
    program = steiner(k)
    assert (len(program.low), len(program.rows)) == (points, lines)
    assert both(program) == (optimum, optimum)


# Domination number of kings: ceil(n / 3)^2, OEIS A347554 for n = 3k.
@pytest.mark.parametrize("n", [3, 6, 7, 9])
def test_kings(n: int) -> None:
    assert both(board(n, "kings")) == ((-(-n // 3)) ** 2,) * 2


# Domination number of queens on n x n, n = 1, 2, ...: OEIS A075458.
QUEENS = (1, 1, 1, 2, 3, 3, 4, 5)


@pytest.mark.parametrize("n", [3, 5, 6, 7, pytest.param(8, marks=pytest.mark.slow)])
def test_queens(n: int) -> None:
    assert both(board(n, "queens")) == (QUEENS[n - 1],) * 2


def test_one_piece_too_few_is_infeasible_for_both() -> None:
    program = steiner(2)
    program.row("stock.counted", [(k, 1) for k in range(9)], high=4)
    assert solve(program, seed=1, seconds=10).verdict == "infeasible"
    assert witness(program, 10)[0] == feasible(program, 10) == "infeasible"
    program.rows[-1] = type(program.rows[-1])(program.rows[-1].terms, -(2**40), 5, "stock.counted")
    assert both(program) == (5, 5)


def test_a_ceiling_below_the_optimum_is_infeasible_and_a_floor_at_it_ends_the_search() -> None:
    program = steiner(2)
    assert solve(program, seed=1, seconds=10, ceiling=4).verdict == "infeasible"
    assert solve(program, seed=1, seconds=10, ceiling=5).value == 5
    assert solve(program, seed=1, seconds=10, floor=5).value == 5


def test_the_same_seed_gives_the_same_solution() -> None:
    first = solve(board(6, "queens"), seed=7, seconds=30)
    assert all(solve(board(6, "queens"), seed=7, seconds=30) == first for _ in range(3))
