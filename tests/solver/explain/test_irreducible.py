"""Irreducible reasons: what is named cannot all be met, and can as soon as any one of it is dropped."""

from __future__ import annotations

from hypothesis import given, settings
from hypothesis import strategies as st

from solver.deadline import Deadline
from solver.explain.irreducible import Demand, demands_of, irreducible, needed, only
from solver.model.program import Program
from solver.model.witness import feasible, satisfied, witness

ASKED = ("clamp.per_length", "locate.side", "way.in", "stock.counted")


PLENTY = Deadline(lambda: 10.0)


def two_clamps_one_free() -> Program:
    """Two parts ask for a clamp each, one clamp is free; a stop for a third part is no trouble."""
    program = Program()
    one, two, stop = program.variable(), program.variable(), program.variable()
    program.row("clamp.per_length", [(one, 1)], 1, about="post")
    program.row("clamp.per_length", [(two, 1)], 1, about="lug")
    program.row("locate.end", [(stop, 1)], 1, about="post")
    program.row("stock.counted clamp", [(one, 1), (two, 1)], high=1, about="clamp")
    program.row("stock.counted stop", [(stop, 1)], high=4, about="stop")
    program.at_most_one([one, stop])
    return program


def test_only_what_is_in_the_way_is_named() -> None:
    program = two_clamps_one_free()
    program.cliques.clear()
    conflict = irreducible(program, PLENTY)
    assert conflict is not None
    assert conflict.minimal and conflict.sure
    assert set(conflict.demands) == {
        Demand("clamp.per_length", "post"),
        Demand("clamp.per_length", "lug"),
        Demand("stock.counted", "clamp"),
    }
    assert needed(program, "clamp", conflict, PLENTY) == 2


def test_a_rule_is_dropped_before_the_stock_it_wants() -> None:
    """Both the distance between bodies and the count shut this out; the missing clamp is named."""
    conflict = irreducible(two_clamps_one_free(), PLENTY)
    assert conflict is not None
    assert Demand("stock.counted", "clamp") in conflict.demands
    assert Demand("clear.body", "") not in conflict.demands


def test_a_program_with_a_solution_has_no_conflict() -> None:
    program = Program()
    program.row("clamp.per_length", [(program.variable(), 1)], 1, about="post")
    assert irreducible(program, PLENTY) is None


def test_nothing_is_claimed_without_time() -> None:
    assert irreducible(two_clamps_one_free(), Deadline(lambda: 0.0)) is None


@settings(max_examples=40, deadline=None)
@given(
    st.lists(st.tuples(st.lists(st.tuples(st.integers(0, 3), st.integers(-2, 2)), max_size=3), st.integers(-2, 3)), max_size=7)
)
def test_every_named_demand_is_needed(rows: list[tuple[list[tuple[int, int]], int]]) -> None:
    program = Program()
    for _ in range(4):
        program.variable(0, 2)
    for k, (terms, low) in enumerate(rows):
        program.row(ASKED[k % 4], terms, low, about=str(k % 2))
    conflict = irreducible(program, PLENTY)
    verdict = feasible(program, 10)
    assert (conflict is None) == (verdict == "optimal")
    if conflict is None:
        return
    assert conflict.minimal and conflict.sure
    assert set(conflict.demands) <= set(demands_of(program))
    for demand in conflict.demands:
        assert feasible(only(program, [other for other in conflict.demands if other != demand]), 10) == "optimal"


def test_the_witness_rounds_and_proves() -> None:
    program = Program()
    x, y = program.variable(0, 9), program.variable(0, 9)
    program.row("a", [(x, 3), (y, 2)], 7)
    program.cost({x: 5, y: 4}, 100)
    assert witness(program, 10) == ("optimal", 100 + 13)
    program.row("b", [(x, 1), (y, 1)], high=1)
    assert witness(program, 10) == ("infeasible", None)
    assert witness(program, 0) == ("unknown", None)
    assert not satisfied(program, [3, 0])
