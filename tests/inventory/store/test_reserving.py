"""All lines or none, over spans of days; the same on either database."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from datetime import date, datetime, timedelta
from typing import Any

import pytest

from inventory.availability import Shortage
from inventory.errors import InvalidDocument
from inventory.reservations import IllegalStep, Returned
from inventory.store import Order, Store, counts, finding, reservations
from inventory.store.errors import NotFound, Stale
from inventory.store.finding import Wanted
from inventory.store.promises import promised_to
from tests.shelf import MONDAY, MORNING, a_store, an_order, by, days

pytestmark = pytest.mark.usefixtures("database")


@pytest.fixture
def store(database: str) -> Iterator[Store]:
    opened = a_store(database, {"riser-75": 6, "stop-60": 4, "pin-14": 0})
    yield opened
    opened.close()


def free(store: Store, item: str, first: int, last: int | None = None, today: date | None = None) -> int:
    return store.snapshot(days(first, last), today).free(item)


def test_a_promise_holds_its_pieces_on_its_own_days_both_ends_included(store: Store) -> None:
    store.reserve(an_order(2, 3, riser_75=4), by())
    assert [free(store, "riser-75", day) for day in (1, 2, 3, 4)] == [6, 2, 2, 6]
    assert free(store, "riser-75", 1, 4) == 2


def test_all_lines_or_none(store: Store) -> None:
    before = store.version()
    with pytest.raises(Shortage) as refusal:
        store.reserve(an_order(riser_75=6, stop_60=5, pin_14=1), by())
    assert [line.item for line in refusal.value.lines] == ["stop-60", "pin-14"]
    assert free(store, "riser-75", 2) == 6
    assert store.version() == before
    assert store.read(lambda c: finding.find(c, Wanted())) == []
    store.reserve(an_order(riser_75=6, stop_60=4), by())


def test_a_refusal_says_how_many_are_free_and_from_when_more_are(store: Store) -> None:
    store.reserve(an_order(1, 8, riser_75=2), by())
    with pytest.raises(Shortage, match=r"^riser 75 mm: 6 needed, 4 free from 2 March; 6 free from 9 March$"):
        store.reserve(an_order(2, 3, riser_75=6), by())


def test_what_is_promised_to_a_plan_is_what_would_be_free_without_its_own_reservations(store: Store) -> None:
    def own(first: int, last: int, today: date | None = None) -> dict[str, int] | None:
        return store.read(lambda c: promised_to(c, "p1", days(first, last), today))

    order = replace(an_order(2, 4, riser_75=4, stop_60=1), plan="p1", plan_rank=1)
    store.write(lambda c: reservations.propose(c, order, by()))
    assert own(2, 4) is None, "a proposal is no promise"
    there = store.reserve(order, by())
    store.reserve(an_order(2, 6, riser_75=1), by())
    store.reserve(an_order(5, 6, riser_75=2), by())
    assert own(2, 4) == own(3, 3) == {"riser-75": 4, "stop-60": 1}
    assert own(4, 5) == {"riser-75": 2, "stop-60": 1}, "on the second day others hold three"
    assert own(5, 6) == {}
    store.write(lambda c: reservations.hand_out(c, there.id, by(), date(2027, 3, 2)))
    store.write(lambda c: reservations.take_back(c, there.id, {"riser-75": Returned(whole=1)}, by()))
    assert own(2, 4) == {"riser-75": 3, "stop-60": 1}
    assert own(8, 8, today=date(2027, 3, 8)) == {"riser-75": 3, "stop-60": 1}, "what is not back is still out"
    store.write(lambda c: reservations.take_back(c, there.id, None, by()))
    assert own(2, 4) == {}


def test_followers_share_pieces(store: Store) -> None:
    store.reserve(an_order(1, 2, riser_75=4), by())
    store.reserve(an_order(3, 4, riser_75=4), by())
    store.reserve(an_order(1, 4, riser_75=2), by())
    with pytest.raises(Shortage):
        store.reserve(an_order(4, riser_75=1), by())


def test_items_that_do_not_exist_are_bad_input_not_a_shortage(store: Store) -> None:
    with pytest.raises(InvalidDocument) as refusal:
        store.reserve(an_order(riser_75=1, riser_99=1, riser_98=1), by())
    assert [fault.pointer for fault in refusal.value.faults] == ["/lines/riser-99", "/lines/riser-98"]


@pytest.mark.parametrize("pieces", [{}, {"riser-75": 0}, {"riser-75": -1}, {"riser-75": 100_001}])
def test_an_order_for_nothing_or_too_much_is_refused(pieces: dict[str, int]) -> None:
    with pytest.raises(InvalidDocument):
        Order("hinge posts", days(2), pieces)


def test_a_proposal_promises_nothing_until_it_is_reserved(store: Store) -> None:
    first = store.write(lambda c: reservations.propose(c, an_order(riser_75=6), by()))
    second = store.write(lambda c: reservations.propose(c, an_order(riser_75=1), by()))
    assert free(store, "riser-75", 2) == 6
    assert store.write(lambda c: reservations.confirm(c, first.id, by())).state == "reserved"
    with pytest.raises(Shortage):
        store.write(lambda c: reservations.confirm(c, second.id, by()))
    assert store.read(lambda c: reservations.reservation(c, second.id)).state == "proposed"


def test_release_gives_the_pieces_back_at_once(store: Store) -> None:
    promised = store.reserve(an_order(riser_75=6), by())
    store.write(lambda c: reservations.release(c, promised.id, by(why="job cancelled")))
    store.reserve(an_order(riser_75=6), by())
    with pytest.raises(IllegalStep, match="is released"):
        store.write(lambda c: reservations.hand_out(c, promised.id, by(), date(2027, 3, 2)))


def test_hand_out_and_return_whole(store: Store) -> None:
    promised = store.reserve(an_order(2, 5, riser_75=4, stop_60=1), by())
    store.write(lambda c: reservations.hand_out(c, promised.id, by("fitter"), date(2027, 3, 2)))
    back = store.write(lambda c: reservations.take_back(c, promised.id, None, by("fitter")))
    assert back.state == "returned"
    assert free(store, "riser-75", 2) == 6
    kinds = [(e.kind, e.item, e.pieces, e.who) for e in store.read(lambda c: counts.entries(c, limit=4))]
    assert kinds[::-1] == [
        ("hand_out", "riser-75", 4, "fitter"),
        ("hand_out", "stop-60", 1, "fitter"),
        ("take_back", "riser-75", 4, "fitter"),
        ("take_back", "stop-60", 1, "fitter"),
    ]


def test_partial_return_with_broken_and_missing_pieces(store: Store) -> None:
    promised = store.reserve(an_order(2, 5, riser_75=4), by())
    store.write(lambda c: reservations.hand_out(c, promised.id, by(), date(2027, 3, 2)))
    part = {"riser-75": Returned(whole=1, broken=1, missing=1)}
    there = store.write(lambda c: reservations.take_back(c, promised.id, part, by("fitter", "dropped")))
    assert (there.state, there.held("riser-75")) == ("on_the_table", 1)
    line = store.read(lambda c: counts.line(c, "riser-75"))
    assert (line.count, line.out_of_service) == (5, 1)
    assert free(store, "riser-75", 2) == 3
    store.write(lambda c: reservations.take_back(c, promised.id, {"riser-75": Returned(broken=1)}, by()))
    assert store.read(lambda c: reservations.reservation(c, promised.id)).state == "returned"
    assert free(store, "riser-75", 2) == 3


def test_pieces_reported_broken_while_out_do_not_break_twice_over(store: Store) -> None:
    promised = store.reserve(an_order(riser_75=6), by())
    store.write(lambda c: reservations.hand_out(c, promised.id, by(), date(2027, 3, 2)))
    store.write(lambda c: counts.take_out(c, "riser-75", 6, by("fitter")))
    store.write(lambda c: reservations.take_back(c, promised.id, {"riser-75": Returned(broken=4, missing=2)}, by()))
    line = store.read(lambda c: counts.line(c, "riser-75"))
    assert (line.count, line.out_of_service) == (4, 4)


def test_a_kit_taken_early_must_be_free_from_that_day(store: Store) -> None:
    store.reserve(an_order(1, riser_75=4), by())
    early = store.reserve(an_order(2, 3, riser_75=6), by())
    with pytest.raises(Shortage, match="6 needed, 2 free from 1 March"):
        store.write(lambda c: reservations.hand_out(c, early.id, by(), MONDAY))
    assert store.write(lambda c: reservations.hand_out(c, early.id, by(), date(2027, 3, 2))).state == "on_the_table"


def test_a_kit_that_should_be_back_is_still_out(store: Store) -> None:
    late = store.reserve(an_order(2, 3, riser_75=4), by())
    store.write(lambda c: reservations.hand_out(c, late.id, by(), date(2027, 3, 2)))
    assert free(store, "riser-75", 5, today=date(2027, 3, 5)) == 2
    assert free(store, "riser-75", 6, today=date(2027, 3, 5)) == 6
    with pytest.raises(Shortage, match="6 free from 6 March"):
        store.reserve(an_order(5, riser_75=6), by(), date(2027, 3, 5))


def test_moving_in_time_uses_its_own_pieces_again(store: Store) -> None:
    promised = store.reserve(an_order(2, 3, riser_75=4), by())
    store.reserve(an_order(5, 6, riser_75=4), by())
    moved = store.write(lambda c: reservations.move(c, promised.id, days(3, 4), by()))
    assert (moved.span, moved.version) == (days(3, 4), 2)
    with pytest.raises(Shortage, match="4 needed, 2 free from 4 March; 4 free from 7 March"):
        store.write(lambda c: reservations.move(c, promised.id, days(4, 5), by()))
    assert store.read(lambda c: reservations.reservation(c, promised.id)).span == days(3, 4)


def test_forgotten_ones_expire_handed_out_ones_do_not(store: Store) -> None:
    hold = MORNING + timedelta(hours=4)
    held = store.reserve(Order("quote", days(8, 9), {"riser-75": 1}, expires_at=hold), by())
    past = store.reserve(an_order(1, 2, riser_75=1), by())
    out = store.reserve(an_order(1, 2, riser_75=1), by())
    store.write(lambda c: reservations.hand_out(c, out.id, by(), MONDAY))
    later = store.reserve(an_order(8, 9, riser_75=1), by())
    assert store.expire(by("clock", at=hold - timedelta(minutes=1)), MONDAY) == []
    before = store.version()
    assert store.expire(by("clock", at=hold - timedelta(minutes=1)), MONDAY) == []
    assert store.version() == before
    gone = store.expire(by("clock", at=hold), date(2027, 3, 3))
    assert [(each.id, each.state) for each in gone] == [(held.id, "expired"), (past.id, "expired")]
    states = {each.id: each.state for each in store.read(lambda c: finding.find(c, Wanted()))}
    assert (states[out.id], states[later.id]) == ("on_the_table", "reserved")
    assert free(store, "riser-75", 8) == 5


def test_a_change_made_on_an_old_reading_is_refused(store: Store) -> None:
    promised = store.reserve(an_order(riser_75=1), by())
    store.write(lambda c: reservations.move(c, promised.id, days(4), by(), expected=1))
    with pytest.raises(Stale, match="at version 2, not 1"):
        store.write(lambda c: reservations.release(c, promised.id, by(), expected=1))
    store.write(lambda c: reservations.release(c, promised.id, by(), expected=2))


def test_every_step_is_signed(store: Store) -> None:
    promised = store.reserve(an_order(riser_75=1), by("planner", "post-118"))
    store.write(lambda c: reservations.move(c, promised.id, days(4), by("foreman", "table busy")))
    store.write(lambda c: reservations.release(c, promised.id, by("planner", "cancelled")))
    steps = store.read(lambda c: finding.steps(c, promised.id))
    assert [(s.step, s.state, s.who, s.why) for s in steps] == [
        ("reserve", "reserved", "planner", "post-118"),
        ("move", "reserved", "foreman", "table busy"),
        ("release", "released", "planner", "cancelled"),
    ]
    assert all(isinstance(s.at, datetime) and s.at == MORNING for s in steps)


def test_finding_by_state_item_job_plan_and_days(store: Store) -> None:
    first = store.reserve(Order("posts", days(2, 3), {"riser-75": 1}, plan="p1", plan_rank=2), by())
    second = store.reserve(Order("frames", days(4), {"stop-60": 1, "riser-75": 1}), by())
    store.write(lambda c: reservations.release(c, second.id, by()))

    def found(**wanted: Any) -> list[int]:
        return [each.id for each in store.read(lambda c: finding.find(c, Wanted(**wanted)))]

    assert found() == [first.id, second.id]
    assert found(states=("released",)) == [second.id]
    assert found(item="stop-60") == [second.id]
    assert found(job="posts") == found(plan="p1") == found(days=days(1, 2)) == [first.id]
    assert found(days=days(5)) == []
    assert [each.id for each in store.read(lambda c: finding.find(c, Wanted(), after=first.id, limit=5))] == [second.id]


def test_the_snapshot_echoes_the_version_it_saw(store: Store) -> None:
    seen = store.snapshot(days(2)).version
    store.reserve(an_order(riser_75=1), by())
    assert store.snapshot(days(2)).version == seen + 1 == store.version()


def test_a_reservation_that_does_not_exist(store: Store) -> None:
    with pytest.raises(NotFound, match="there is no reservation 99"):
        store.write(lambda c: reservations.release(c, 99, by()))
