"""Ways: of the ways in and out at least one stays open."""

from __future__ import annotations

from solver.model.families.on_demand.ways import Ways
from solver.model.one_open import keep_one_open
from solver.model.program import Program
from solver.model.variables import Variables
from solver.model.witness import feasible
from tests import builders as b
from tests.solver.kinds.test_ways import shelf, stand
from tests.solver.model.positions import Fixing, choice, position
from tests.solver.model.small import bar


def test_over_a_bar_with_low_stops_nothing_stands_in_the_way() -> None:
    """Down clamps open away from the bar: whatever else stands, straight up and straight down are free."""
    rows = Fixing(bar())
    family, everything = rows.on_demand(Ways), list(range(len(bar().candidates)))
    assert isinstance(family, Ways)
    assert list(family.broken(choice(bar(), everything))) == []
    rows.add([family.rows_of(mover) for mover in range(len(bar().routes.movers))])
    assert rows.allows(everything)


def test_a_stand_between_a_nose_and_stops_has_no_way_out_but_keeps_one_if_asked() -> None:
    """A nose over its base, stops at its cap and on all sides: with all of them standing it cannot leave; one way stays open."""
    problem = position(b.request(stand()), shelf(), (13, 0))
    found = 0
    for mover in range(len(problem.routes.movers)):
        rows = Fixing(problem)
        family = rows.on_demand(Ways)
        assert isinstance(family, Ways)
        rows.add([family.rows_of(mover)])
        options = [option.blockers for option in problem.routes.options(mover)]
        found += all(options)
        assert rows.allows({k for blockers in options for k in blockers}, others=True) == (not all(options))
        assert rows.allows([])
    assert found


def open_with(options: list[frozenset[int]], neighbours: list[int], fixed: tuple[int, ...]) -> bool:
    program = Program()
    stands = [program.variable() for _ in range(3)]
    keep_one_open(program, Variables(stands, [], {}), neighbours, "way.out", options)
    for k in fixed:
        program.row("fixed", [(stands[k], 1)], 1, 1)
    return feasible(program, 5.0) == "optimal"


def test_ways_keep_one_open() -> None:
    options = [frozenset({0}), frozenset({1, 2})]
    for fixed, verdict in (((), True), ((0,), True), ((1,), True), ((0, 1), False), ((0, 2), False), ((1, 2), True)):
        assert open_with(options, [0, 0, 0], fixed) == verdict, fixed


def test_a_row_for_a_clique_of_blockers_says_what_rows_for_each_say() -> None:
    options = [frozenset({0, 1}), frozenset({0, 2})]
    for neighbours in ([0, 0, 0], [0b110, 0b101, 0b011]):
        for k, verdict in ((0, False), (1, True), (2, True)):
            assert open_with(options, neighbours, (k,)) == verdict, (neighbours, k)
