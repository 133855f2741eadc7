"""Which order is meant, and which cases hold in it."""

from __future__ import annotations

from solver.model.any_order.order_variables import declare_orders, in_cases
from solver.model.cpsat import feasible
from solver.model.program import Program
from tests.solver.model.any_order.positions import places_in_orders


def test_exactly_the_cases_of_the_order_that_is_meant_hold() -> None:
    choices = next(places_in_orders(0, 1)).choices
    for meant in range(len(choices.laids)):
        program = Program()
        orders = declare_orders(program, choices, range(len(choices.laids)))
        program.low[next(variable for variable, own in orders.alike.items() if meant in own)] = 1
        for number, case in orders.cases.items():
            holds = number in choices.of_order[meant]
            for value, verdict in ((int(holds), "optimal"), (1 - int(holds), "infeasible")):
                copy = program.copy()
                copy.low[case.holds] = copy.high[case.holds] = value
                assert feasible(copy, 10.0) == verdict


def test_each_part_has_its_own_cases() -> None:
    choices = next(places_in_orders(0, 1)).choices
    orders = declare_orders(Program(), choices, [0])
    assert [len(orders.of_part(part)) for part in range(2)] == [1, 1]
    ((number, case),) = orders.of_part(1)
    assert choices.cases[number][0] == case.part == 1


def test_what_is_asked_in_a_case_is_taken_off_if_it_holds() -> None:
    choices = next(places_in_orders(0, 1)).choices
    orders = declare_orders(Program(), choices, [0, 1])
    one, *others = orders.cases.values()
    assert in_cases([(one, 3), *((other, 0) for other in others)]) == [(one.holds, -3)]
