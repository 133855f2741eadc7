"""Programs as rows: rows that reach too far are written as several that say the same; what is asked on demand finds its place."""

from __future__ import annotations

from itertools import product
from random import Random

import pytest

from solver.model import program as rows_module
from solver.model.cpsat import solve
from solver.model.program import INFINITE, LARGEST, Program, Rows


def reach(program: Program) -> int:
    """Return the most that any row's terms add up to, whatever their signs."""
    most = [max(abs(low), abs(high)) for low, high in zip(program.low, program.high, strict=True)]
    return max(sum(abs(c) * most[v] for v, c in row.terms) for row in program.rows)


def allows(program: Program, values: tuple[int, ...]) -> bool:
    """Return whether the first variables may have these values."""
    fixed = program.copy()
    for variable, value in enumerate(values):
        fixed.low[variable] = fixed.high[variable] = value
    return solve(fixed, seed=1, seconds=10.0).verdict == "optimal"


def test_a_row_of_large_numbers_allows_what_it_allowed_and_reaches_no_farther_than_small_ones(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """Up to four variables and numbers up to a million, in rows that may reach 256: every value tried by hand as well."""
    monkeypatch.setattr(rows_module, "LARGEST", 256)
    draw, verdicts, split = Random(3), [], 0
    for _ in range(60):
        program = Program()
        ends = [(draw.randint(-2, 0), draw.randint(1, 3)) for _ in range(draw.randint(1, 4))]
        variables = [program.variable(low, high) for low, high in ends]
        terms = [(v, draw.randint(-(10**6), 10**6) if draw.random() < 0.8 else draw.randint(-9, 9)) for v in variables]
        every = list(product(*(range(low, high + 1) for low, high in ends)))
        middle = sum(c * value for (_, c), value in zip(terms, draw.choice(every), strict=True))
        low, high = draw.choice(((-INFINITE, middle), (middle, INFINITE), (middle, middle)))
        program.row("price", terms, low, high)
        split += len(program.rows) > 1
        assert reach(program) <= 256
        for values in draw.sample(every, min(4, len(every))):
            total = sum(c * value for (_, c), value in zip(terms, values, strict=True))
            verdicts.append(low <= total <= high)
            assert allows(program, values) == verdicts[-1], (terms, low, high, values)
    assert split > 30 and True in verdicts and False in verdicts


def test_a_row_of_small_numbers_stays_one_row() -> None:
    program = Program()
    one, other = program.variable(), program.variable(0, 4)
    program.row("stock.counted", [(one, 2), (other, 1), (one, 1)], high=LARGEST)
    assert [(row.terms, row.low, row.high) for row in program.rows] == [(((one, 3), (other, 1)), -INFINITE, LARGEST)]


def test_rows_asked_on_demand_bring_variables_of_their_own() -> None:
    program, more = Program(), Rows()
    stands = [program.variable(), program.variable()]
    opens = more.variable()
    more.row("way.out", [(stands[0], 1), (opens, 1)], high=1, about="weldment")
    more.at_most_one(stands)
    more.named["way.out", "weldment"] = ("stop",)
    program.add(more)
    assert [row.terms for row in program.rows] == [((0, 1), (2, 1))]
    assert (len(program.low), program.cliques, program.named) == (3, [(0, 1)], {("way.out", "weldment"): ("stop",)})


def test_what_is_added_to_a_copy_leaves_the_program_as_it_was() -> None:
    program = Program()
    program.cost({program.variable(): 5})
    copy = program.copy()
    copy.row("fixed", [(copy.variable(), 1)], 1)
    copy.cost({0: 2}, 7)
    assert (len(program.low), program.rows, program.objective, program.constant) == (1, [], {0: 5}, 0)
