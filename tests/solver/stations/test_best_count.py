"""The best number of stations is the number that is cheapest when each is asked for alone."""

from __future__ import annotations

from typing import Any

import pytest

from service.documents import plan_document
from solver.checks import check
from tests.solver.stations.jobs import bars, planned, shelf


def assert_best_of_each(quantity: int, stock: Any, most: int, **more: Any) -> int:
    """Assert that `"best"` costs what the cheapest number costs; return the number of stations it has."""
    request = bars("best", quantity, **more)
    answer = planned(request, stock)
    each = [planned(bars(count, quantity, **more), stock) for count in range(1, most + 1)]
    totals = [one.alternatives[0].cost.total_cents for one in each if one.alternatives]
    best = answer.alternatives[0]
    assert (answer.status, best.cost.total_cents, answer.cost_bound_cents) == ("optimal", min(totals), min(totals))
    assert len(best.stations) == 1 + totals.index(min(totals))
    report = check(request, stock, plan_document(answer))
    assert report.ok, report.failed
    return len(best.stations)


def test_few_pieces_pay_one_station() -> None:
    assert assert_best_of_each(5, shelf(), 2) == 1


def test_many_pieces_pay_as_many_as_the_shelf_has() -> None:
    """Pieces for two stations are on the shelf, however many weldments are wanted."""
    assert assert_best_of_each(5000, shelf(count=5, columns=9, rows=6), 2) == 2


def test_no_fixture_at_all_is_no_number_of_stations() -> None:
    answer = planned(bars("best"), shelf(count=0))
    assert (answer.status, answer.alternatives) == ("infeasible", ())


@pytest.mark.slow
def test_alternatives_of_all_numbers_are_ranked_together() -> None:
    request, stock = bars("best", 150, alternatives=4), shelf(columns=9, rows=6)
    answer = planned(request, stock)
    totals = [one.cost.total_cents for one in answer.alternatives]
    assert totals == sorted(totals)
    report = check(request, stock, plan_document(answer))
    assert report.ok, report.failed


@pytest.mark.slow
@pytest.mark.parametrize("quantity", [1, 20, 100, 400, 1500])
@pytest.mark.parametrize("count", [4, 9, 14])
def test_best_equals_trying_each(quantity: int, count: int) -> None:
    assert_best_of_each(quantity, shelf(count=count, columns=10, rows=8), 4)
