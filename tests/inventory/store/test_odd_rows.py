"""A row that this release would refuse, left by an older one: it is shown, can be released, and stands in nobody's way."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date, timedelta

import pytest
import sqlalchemy as sa

from inventory.availability import Span, asked_span
from inventory.errors import InvalidDocument
from inventory.store import Order, Store, counts, documents, hits, reservations
from inventory.store.schema import promised
from inventory.store.schema import reservations as rows
from tests.shelf import MONDAY, a_store, an_order, by, days

ENDLESS = [(date(2027, 3, 2), date(2039, 1, 1)), (date(9999, 12, 30), date.max), (date(1, 1, 1), date.max)]


@pytest.fixture(params=ENDLESS, ids=["twelve years", "the last days of time", "all of time"])
def odd(request: pytest.FixtureRequest, database: str) -> Iterator[Store]:
    """A shop with six risers and four stops, and a reservation of four risers whose days nobody could ask for now."""
    store = a_store(database, {"riser-75": 6, "stop-60": 4})
    there = store.reserve(an_order(riser_75=4), by(), MONDAY)
    first, last = request.param

    def spoil(connection: sa.Connection) -> None:
        connection.execute(sa.update(rows).where(rows.c.id == there.id).values(first_day=first, last_day=last))
        connection.execute(sa.update(promised).values(first_day=first, last_day=last))

    store.write(spoil)
    yield store
    store.close()


def test_others_are_reserved_read_and_broken_as_ever(odd: Store) -> None:
    assert odd.reserve(an_order(stop_60=4), by(), MONDAY).state == "reserved"
    assert odd.snapshot(days(1), MONDAY).free("stop-60") == 4
    assert odd.write(lambda c: counts.take_out(c, "stop-60", 1, by())).out_of_service == 1
    (hit,) = odd.read(lambda c: hits.hits(c, ["riser-75", "stop-60"], MONDAY))
    assert (hit.item, hit.short) == ("stop-60", 1)


def test_its_own_item_is_counted_and_broken_and_says_whom_that_hits(odd: Store) -> None:
    there = odd.read(lambda c: reservations.reservation(c, 1))
    odd.write(lambda c: counts.recount(c, "riser-75", 3, by()))
    (hit,) = odd.read(lambda c: hits.hits(c, ["riser-75"], MONDAY))
    assert (hit.short, hit.from_day) == (1, max(there.span.first, MONDAY))
    assert [each.reservation for each in hit.reservations] == [1]
    assert odd.snapshot(Span(there.span.last, there.span.last), MONDAY).free("riser-75") == 0
    assert odd.snapshot(asked_span(date(2030, 1, 1), date(2030, 1, 2)), MONDAY).free("riser-75") == (
        0 if there.span.overlaps(Span(date(2030, 1, 1), date(2030, 1, 2))) else 3
    )


def test_it_is_shown_moved_and_released(odd: Store) -> None:
    there = odd.read(lambda c: reservations.reservation(c, 1))
    assert (there.state, there.held("riser-75")) == ("reserved", 4)
    with pytest.raises(InvalidDocument, match="/needed/to"):
        odd.write(lambda c: reservations.move(c, 1, there.span, by(), MONDAY))
    moved = odd.write(lambda c: reservations.move(c, 1, days(3), by(), MONDAY))
    assert moved.span == days(3)
    assert odd.write(lambda c: reservations.release(c, 1, by())).state == "released"
    assert odd.reserve(an_order(3, riser_75=6), by(), MONDAY).state == "reserved"


def test_a_kept_plan_with_such_days_is_no_obstacle_either(odd: Store) -> None:
    kit = {"alternatives": [{"rank": 1, "kit": [{"item": "riser-75", "count": 5}]}]}
    odd.write(lambda c: documents.keep_plan(c, "p1", kit, None, Span(date(2027, 3, 2), date.max), by()))
    odd.write(lambda c: reservations.release(c, 1, by()))
    odd.write(lambda c: counts.recount(c, "riser-75", 4, by()))
    (hit,) = odd.read(lambda c: hits.hits(c, ["riser-75"], MONDAY))
    assert [(plan.plan, plan.free) for plan in hit.plans] == [("p1", 4)]


def after(days: int) -> date:
    return MONDAY + timedelta(days=days)


@pytest.mark.parametrize(
    ("span", "says"),
    [
        (Span(MONDAY, after(3660)), "/needed/to: 3661 days"),
        (Span(after(3661), after(3661)), f"{after(3661)} is more than 3660 days ahead"),
        (Span(date(1999, 12, 31), date(2000, 1, 1)), "/needed/from: 1999-12-31 is out of range"),
        (Span(date(9999, 12, 30), date.max), "/needed/from: 9999-12-30 is out of range; /needed/to: 9999-12-31 is out of range"),
    ],
)
def test_days_nobody_means_are_refused(database: str, span: Span, says: str) -> None:
    store = a_store(database, {"riser-75": 6})
    try:
        with pytest.raises(InvalidDocument, match=says):
            store.write(lambda c: reservations.reserve(c, Order("posts", span, {"riser-75": 1}), by(), MONDAY))
        with pytest.raises(InvalidDocument, match=says):
            store.write(lambda c: reservations.propose(c, Order("posts", span, {"riser-75": 1}), by(), MONDAY))
        there = store.reserve(Order("posts", Span(MONDAY, after(3659)), {"riser-75": 1}), by(), MONDAY)
        with pytest.raises(InvalidDocument, match=says):
            store.write(lambda c: reservations.move(c, there.id, span, by(), MONDAY))
        assert store.read(lambda c: reservations.reservation(c, there.id)) == there
        assert store.reserve(Order("posts", Span(after(3660), after(3660)), {"riser-75": 1}), by(), MONDAY).id == 2
    finally:
        store.close()
