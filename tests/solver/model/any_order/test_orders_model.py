"""All orders of loading asked at once: the least of what each asks alone."""

from __future__ import annotations

import pytest

from solver.model.any_order import orders_model
from solver.model.cpsat import solve
from tests.solver.model.any_order.positions import DEADLINE, ORDERS, Place, places_in_orders

SEEDS = [0, 1, 2, 6, 8, 18]


def least(place: Place, *numbers: int) -> int | None:
    model = place.at_once(*numbers)
    model.whole = True
    outcome = model.cheapest(DEADLINE, seed=1, work=None, ceiling=None)
    assert outcome.verdict in ("optimal", "infeasible")
    assert set(outcome.orders) <= set(numbers)
    return outcome.bound if outcome.verdict == "optimal" else None


@pytest.mark.parametrize("seed", SEEDS)
def test_all_at_once_cost_what_the_cheapest_of_them_costs_alone(seed: int) -> None:
    for place in places_in_orders(seed, 4):
        alone = [solve(place.alone(number), seed=1, seconds=60.0).value for number in range(len(ORDERS))]
        assert [least(place, number) for number in range(len(ORDERS))] == alone
        assert least(place, *range(len(ORDERS))) == min((value for value in alone if value is not None), default=None)


def found() -> Place:
    return next(place for seed in SEEDS for place in places_in_orders(seed, 4) if least(place, 0, 1) is not None)


def test_bodies_and_torch_are_asked_once_there_is_a_choice() -> None:
    model = found().at_once(0, 1)
    assert model.cheapest(DEADLINE, seed=1, work=None, ceiling=0).verdict == "infeasible" and not model.whole
    before = len(model.program.rows) + len(model.program.cliques)
    model.cheapest(DEADLINE, seed=1, work=None, ceiling=None)
    assert model.whole and len(model.program.rows) + len(model.program.cliques) >= before


def test_orders_asked_alone_are_not_proposed_again() -> None:
    place = found()
    model = place.at_once(0, 1)
    first = model.cheapest(DEADLINE, seed=1, work=None, ceiling=None)
    assert first.orders
    model.leave_out(first.orders)
    second = model.cheapest(DEADLINE, seed=1, work=None, ceiling=None)
    assert not set(first.orders) & set(second.orders)
    model.leave_out((0, 1))
    assert model.cheapest(DEADLINE, seed=1, work=None, ceiling=None).verdict == "infeasible"


def test_no_order_costs_less_than_is_known_of_it() -> None:
    place = found()
    floors = [0.0] * len(place.choices.cases)
    model = orders_model.OrdersModel(place.problem(), place.choices, {0: 10**6, 1: 10**6}, floors)
    outcome = model.cheapest(DEADLINE, seed=1, work=None, ceiling=None)
    assert outcome.verdict == "infeasible" or (outcome.bound or 0) >= 10**6


def test_when_time_is_up_nothing_is_proposed() -> None:
    outcome = found().at_once(0, 1).cheapest(DEADLINE, seed=1, work=0.0, ceiling=None)
    assert outcome.verdict == "unknown" and not outcome.orders
