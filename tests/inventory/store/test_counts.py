"""Counts, their journal, and whom a missing piece hits; the same on either database."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from datetime import datetime, timedelta
from functools import partial
from typing import Any

import pytest
import sqlalchemy as sa

from inventory.errors import InvalidDocument
from inventory.store import Note, Store, catalogue, counts, documents, reservations
from inventory.store.catalogue import ANY_VERSION
from inventory.store.errors import AlreadyThere, CountRefused, InUse, NotFound, Stale
from inventory.store.hits import hits
from tests.shelf import MONDAY, MORNING, a_store, an_order, by, days, item_document, table_document


@pytest.fixture
def store(database: str) -> Iterator[Store]:
    opened = a_store(database, {"riser-75": 6, "stop-60": 4})
    yield opened
    opened.close()


def test_every_kind_of_change_and_its_entry(store: Store) -> None:
    changes = [
        (counts.receive, 4, (10, 0)),
        (counts.take_out, 3, (10, 3)),
        (counts.repair, 1, (10, 2)),
        (counts.scrap, 2, (8, 0)),
    ]
    for change, pieces, expected in changes:
        after = store.write(partial(change, item="riser-75", pieces=pieces, note=by("storekeeper", "why not")))
        assert (after.count, after.out_of_service) == expected
    entries = store.read(lambda c: counts.entries(c, item="riser-75"))
    assert [(e.kind, e.count_change, e.out_of_service_change, e.count, e.out_of_service) for e in entries] == [
        ("scrap", -2, -2, 8, 0),
        ("repair", 0, -1, 10, 2),
        ("break", 0, 3, 10, 3),
        ("receive", 4, 0, 10, 0),
        ("receive", 6, 0, 6, 0),
    ]
    assert {(e.who, e.why, e.at) for e in entries[:-1]} == {("storekeeper", "why not", MORNING)}


def test_a_recount_says_what_is_there(store: Store) -> None:
    store.write(lambda c: counts.take_out(c, "riser-75", 5, by()))
    after = store.write(lambda c: counts.recount(c, "riser-75", 3, by(why="yearly count")))
    assert (after.count, after.out_of_service) == (3, 3)
    after = store.write(lambda c: counts.recount(c, "riser-75", 7, by(), out_of_service=1))
    assert (after.count, after.out_of_service, after.usable) == (7, 1, 6)


@pytest.mark.parametrize(
    "change",
    [
        lambda c: counts.take_out(c, "riser-75", 7, by()),
        lambda c: counts.repair(c, "riser-75", 1, by()),
        lambda c: counts.scrap(c, "riser-75", 1, by()),
        lambda c: counts.recount(c, "riser-75", 3, by(), out_of_service=4),
        lambda c: counts.receive(c, "riser-75", 1_000_000, by()),
        lambda c: counts.recount(c, "riser-75", -1, by()),
    ],
)
def test_counts_that_cannot_be_are_refused_and_leave_no_entry(store: Store, change: Callable[[sa.Connection], object]) -> None:
    entries, version = store.read(lambda c: len(counts.entries(c))), store.version()
    with pytest.raises(CountRefused, match="riser 75 mm"):
        store.write(change)
    assert store.read(lambda c: len(counts.entries(c))) == entries
    assert store.version() == version


@pytest.mark.parametrize("pieces", [0, -1, 1_000_001])
def test_no_pieces_are_no_change(store: Store, pieces: int) -> None:
    with pytest.raises(InvalidDocument):
        store.write(lambda c: counts.receive(c, "riser-75", pieces, by()))


def test_notes_must_be_signed_and_dated() -> None:
    for who, at in (("", MORNING), (" ", MORNING), ("x" * 201, MORNING), ("a", datetime(2027, 3, 1))):
        with pytest.raises(InvalidDocument):
            Note(who, at)


def test_the_journal_by_item_kind_time_and_page(store: Store) -> None:
    store.write(lambda c: counts.take_out(c, "stop-60", 1, by(at=MORNING + timedelta(hours=1))))

    def found(**wanted: Any) -> list[tuple[str, str]]:
        return [(e.kind, e.item) for e in store.read(lambda c: counts.entries(c, **wanted))]

    assert found(kind="break") == found(since=MORNING + timedelta(minutes=1)) == found(limit=1) == [("break", "stop-60")]
    newest = store.read(lambda c: counts.entries(c, limit=1))[0]
    assert found(before=newest.id) == [("receive", "stop-60"), ("receive", "riser-75")]


def test_where_pieces_lie(store: Store) -> None:
    assert store.write(lambda c: counts.put_in_bin(c, "riser-75", "A3", expected=2)).bin == "A3"
    assert [line.item for line in store.read(lambda c: counts.lines(c, bin="A3"))] == ["riser-75"]
    with pytest.raises(Stale):
        store.write(lambda c: counts.put_in_bin(c, "riser-75", "B1", expected=2))


def test_a_breakage_shows_the_reservations_it_hits_newest_first(store: Store) -> None:
    one = store.reserve(an_order(2, 3, job="posts", riser_75=3), by())
    two = store.reserve(an_order(3, 4, job="frames", riser_75=3), by())
    store.reserve(an_order(8, 9, riser_75=4), by())
    assert store.read(lambda c: hits(c, ["riser-75", "stop-60"], MONDAY)) == []
    store.write(lambda c: counts.take_out(c, "riser-75", 2, by()))
    (hit,) = store.read(lambda c: hits(c, ["riser-75", "stop-60"], MONDAY))
    assert (hit.item, hit.usable, hit.short, hit.from_day) == ("riser-75", 4, 2, days(3).first)
    assert [(each.reservation, each.job, each.pieces) for each in hit.reservations] == [
        (two.id, "frames", 3),
        (one.id, "posts", 3),
    ]
    store.write(lambda c: reservations.release(c, two.id, by()))
    assert store.read(lambda c: hits(c, ["riser-75"], MONDAY)) == []


def test_days_gone_by_hit_nobody(store: Store) -> None:
    store.reserve(an_order(2, 3, riser_75=6), by())
    store.write(lambda c: counts.take_out(c, "riser-75", 2, by()))
    assert store.read(lambda c: hits(c, ["riser-75"], days(4).first)) == []
    assert len(store.read(lambda c: hits(c, ["riser-75"], days(3).first))) == 1


def test_a_breakage_shows_the_plans_it_hits(store: Store) -> None:
    kit = [{"item": "riser-75", "count": 5, "bin": ""}, {"item": "stop-60", "count": 6, "bin": "", "buy": 3}]
    plan = {"alternatives": [{"rank": 1, "kit": kit}, {"rank": 2, "kit": kit[1:]}], "stock_version": 3, "rules_version": 1}
    store.write(lambda c: documents.keep_plan(c, "p1", plan, None, days(4, 5), by()))
    assert store.read(lambda c: hits(c, ["riser-75", "stop-60"], MONDAY)) == []
    store.write(lambda c: counts.take_out(c, "riser-75", 2, by()))
    (hit,) = store.read(lambda c: hits(c, ["riser-75", "stop-60"], MONDAY))
    assert [(each.plan, each.rank, each.pieces, each.free) for each in hit.plans] == [("p1", 1, 5, 4)]
    assert store.read(lambda c: hits(c, ["riser-75"], days(6).first)) == []


def test_a_plan_is_kept_once_and_never_changes(store: Store) -> None:
    first = store.write(lambda c: documents.keep_plan(c, "p1", {"alternatives": []}, {"quantity": 1}, days(4), by()))
    again = store.write(lambda c: documents.keep_plan(c, "p1", {"alternatives": [{}]}, None, days(5), by("other")))
    assert again == first == store.read(documents.find_plans)[0]
    with pytest.raises(NotFound):
        store.read(lambda c: documents.plan(c, "p2"))


def test_rule_books_keep_every_version(store: Store) -> None:
    for limit in (15, 20):
        content = {"clear.weld": limit}
        store.write(partial(documents.put_document, kind="rule_book", name="shop", document=content, note=by()))
    with pytest.raises(Stale, match="at version 2, not 1"):
        store.write(lambda c: documents.put_document(c, "rule_book", "shop", {}, by(), expected=1))
    store.write(lambda c: documents.put_document(c, "weldment", "shop", {"name": "hinge post"}, by()))
    assert store.read(lambda c: documents.document(c, "rule_book", "shop")).document == {"clear.weld": 20}
    assert store.read(lambda c: documents.document(c, "rule_book", "shop", 1)).document == {"clear.weld": 15}
    assert [v.version for v in store.read(lambda c: documents.versions(c, "rule_book", "shop"))] == [2, 1]
    assert store.read(lambda c: documents.document_names(c, "weldment")) == ["shop"]
    for name, version in (("none", None), ("shop", 3)):
        with pytest.raises(NotFound):
            store.read(partial(documents.document, kind="rule_book", name=name, version=version))


def test_items_are_written_on_what_was_read(store: Store) -> None:
    changed = item_document("riser-75", price_cents=4500)
    with pytest.raises(AlreadyThere, match="item riser-75 exists already"):
        store.write(lambda c: catalogue.put_item(c, changed, None))
    with pytest.raises(Stale):
        store.write(lambda c: catalogue.put_item(c, changed, 2))
    with pytest.raises(NotFound):
        store.write(lambda c: catalogue.put_item(c, item_document("riser-99"), 1))
    assert store.write(lambda c: catalogue.put_item(c, changed, 1)).version == 2
    assert store.snapshot(days(2)).items["riser-75"].price_cents == 4500
    assert store.read(lambda c: counts.line(c, "riser-75")).count == 6
    assert store.write(lambda c: catalogue.put_item(c, changed, ANY_VERSION)).version == 3


def test_items_somebody_depends_on_stay(store: Store) -> None:
    with pytest.raises(InUse, match="item stop-60 stays: 4 pieces counted"):
        store.write(lambda c: catalogue.remove_item(c, "stop-60", ANY_VERSION))
    promised = store.reserve(an_order(stop_60=1), by())
    store.write(lambda c: reservations.release(c, promised.id, by()))
    store.write(lambda c: counts.recount(c, "stop-60", 0, by()))
    with pytest.raises(InUse, match="1 reservations"):
        store.write(lambda c: catalogue.remove_item(c, "stop-60", ANY_VERSION))
    store.write(lambda c: counts.recount(c, "riser-75", 0, by()))
    store.write(lambda c: catalogue.remove_item(c, "riser-75", 1))
    with pytest.raises(NotFound):
        store.read(lambda c: catalogue.item(c, "riser-75"))
    assert {e.item for e in store.read(counts.entries)} == {"riser-75", "stop-60"}


def test_finding_items_by_kind_and_words(store: Store) -> None:
    store.write(lambda c: catalogue.put_item(c, item_document("Riser_100", kind="rest"), None))

    def found(**wanted: Any) -> list[str]:
        return [each.id for each in store.read(lambda c: catalogue.find_items(c, **wanted))]

    assert found() == ["Riser_100", "riser-75", "stop-60"]
    assert found(text="RISER") == ["Riser_100", "riser-75"]
    assert found(text="r_1") == ["Riser_100"]
    assert found(kind="rest") == ["Riser_100"]
    assert found(after="Riser_100", limit=1) == ["riser-75"]


def test_tables_come_and_go(store: Store) -> None:
    store.write(lambda c: catalogue.put_table(c, table_document("T1"), None))
    assert list(store.snapshot(days(2)).tables) == ["T1"]
    assert [each.id for each in store.read(catalogue.find_tables)] == ["T1"]
    store.write(lambda c: catalogue.remove_table(c, "T1", 1))
    with pytest.raises(NotFound, match="there is no table T1"):
        store.read(lambda c: catalogue.table(c, "T1"))


def test_a_document_is_read_once_until_it_changes(store: Store) -> None:
    before = store.snapshot(days(2)).items
    assert store.snapshot(days(2)).items["riser-75"] is before["riser-75"]
    store.write(lambda c: catalogue.put_item(c, item_document("riser-75", price_cents=1), ANY_VERSION))
    after = store.snapshot(days(2)).items
    assert after["riser-75"].price_cents == 1
    assert after["stop-60"] is before["stop-60"]
