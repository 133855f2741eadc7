"""Quick-acting clamps pay on long runs, screw clamps on short ones: by the prices alone, with nothing made for it."""

from __future__ import annotations

import json
from dataclasses import replace
from functools import cache

import pytest

from inventory.items import Item
from service.demo import job_document, stock_document
from service.documents import read_request, read_stock
from solver.cost import price
from solver.deadline import Deadline
from solver.planning import plan
from solver.plans import Alternative
from solver.request import Request

SHOP = read_stock(stock_document())


def asked(quantity: int) -> Request:
    document = json.loads(job_document("open-tab")) | {"quantity": quantity, "alternatives": 1}
    return read_request(json.dumps(document).encode(), SHOP)[0]


@cache
def best(quantity: int) -> Alternative:
    answer = plan(asked(quantity), SHOP, deadline=Deadline(lambda: 100.0))
    assert answer.stopped_by in ("proof", "scope")
    return answer.alternatives[0]


def pieces(alternative: Alternative) -> list[tuple[Item, bool]]:
    return [(SHOP.items[placed.item], placed.stands_on is not None) for placed in alternative.placements]


def handling_s(alternative: Alternative) -> float:
    """Return the seconds a cycle spends on clamps."""
    return sum(item.clamp.close_s + item.clamp.open_s for item, _ in pieces(alternative) if item.clamp)


def clamps_tie_up(alternative: Alternative) -> int:
    return sum(item.day_rate_cents for item, _ in pieces(alternative) if item.clamp)


def test_long_runs_take_quicker_clamps_that_cost_more_a_day() -> None:
    assert handling_s(best(300)) < handling_s(best(2))
    assert clamps_tie_up(best(300)) > clamps_tie_up(best(2))


def test_each_would_lose_at_the_others_quantity_by_the_contracts_arithmetic() -> None:
    for quantity, other in ((300, 2), (2, 300)):
        own, loser = (price(asked(quantity), SHOP, pieces(best(q))).cost.total_cents for q in (quantity, other))
        assert best(quantity).cost.total_cents == own < loser


@pytest.mark.slow
def test_the_crossing_lies_where_seconds_saved_outweigh_the_dearer_clamps() -> None:
    """The least quantity at which the long run's kit is the cheaper: found from the two prices, shown by planning there."""
    short, long = pieces(best(2)), pieces(best(300))

    def dearer(quantity: int) -> int:
        request = replace(asked(2), quantity=quantity)
        return price(request, SHOP, long).cost.total_cents - price(request, SHOP, short).cost.total_cents

    crossing = next(quantity for quantity in range(3, 301) if dearer(quantity) < 0)
    assert dearer(crossing - 1) >= 0 > dearer(crossing)
    at = best(crossing)
    assert at.cost.total_cents <= price(replace(asked(2), quantity=crossing), SHOP, long).cost.total_cents
    assert handling_s(at) < handling_s(best(2))
