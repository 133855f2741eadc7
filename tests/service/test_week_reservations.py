"""Planned weeks promised in the store: every one is accepted, whatever was promised before, or none of it is written."""

from __future__ import annotations

import random
from collections.abc import Iterator
from datetime import UTC, date, datetime, timedelta
from typing import Any

import pytest

from inventory.availability import Shortage, Span
from inventory.errors import InvalidDocument
from inventory.store import Note, Order, Readers, Store, open_store
from inventory.store import reservations as kept
from inventory.store.finding import Wanted, find
from service.documents import read_item, read_table
from service.errors import WeekPromised
from service.stockroom.first_stock import fill_if_empty
from service.stockroom.week_reservations import promise_week
from tests.service.weeks import SHELF, answered, bar_kit, week_question

TODAY = date.today()
NOTE = Note("planner", datetime.now(UTC), "week 9")


@pytest.fixture
def store(database: str) -> Iterator[Store]:
    there = open_store(database, Readers(lambda item: read_item(dict(item)), lambda table: read_table(dict(table))))
    assert fill_if_empty(there, SHELF)
    yield there
    there.close()


def promised(store: Store, name: str, week: dict[str, Any]) -> list[str]:
    made = store.write(lambda connection: promise_week(connection, name, week, lambda id: bar_kit(), NOTE, TODAY))
    return [each.job for each in made]


def listed(store: Store) -> int:
    return len(store.read(lambda connection: find(connection, Wanted(), limit=1000)))


def week_of(store: Store, seed: int) -> dict[str, Any]:
    """A week of bars over a weekend, planned with what the store has free on each day."""
    chance = random.Random(seed)
    days = [(TODAY + timedelta(days=k)).isoformat() for k in sorted(chance.sample(range(1, 12), 3))]
    jobs = [{"due": days[-1], "days": chance.randint(1, 2)} for _ in range(chance.randint(1, 3))]
    span = Span(date.fromisoformat(days[0]), date.fromisoformat(days[-1]))
    return answered(week_question(*jobs, days=days, work_limit=1), store.by_day(span, TODAY))


def accepted(store: Store, seeds: range) -> None:
    for seed in seeds:
        week = week_of(store, seed)
        if week["assignments"]:
            assert len(promised(store, f"week {seed}", week)) == len(week["assignments"])


def test_the_store_accepts_every_week(store: Store) -> None:
    accepted(store, range(5))


@pytest.mark.slow
def test_the_store_accepts_many_weeks(store: Store) -> None:
    accepted(store, range(100))


def test_all_of_it_or_nothing(store: Store) -> None:
    week = week_of(store, 1)
    entry = week["assignments"][-1]
    last = date.fromisoformat(entry["days"]["to"])
    item = entry["kit"][0]["item"]
    store.write(lambda connection: kept.reserve(connection, Order("others", Span(last, last), {item: 12}), NOTE, TODAY))
    with pytest.raises(Shortage) as short:
        promised(store, "week 1", week)
    assert [line.item for line in short.value.lines] == [item] and listed(store) == 1


def test_a_week_is_promised_once(store: Store) -> None:
    week = week_of(store, 1)
    count = len(promised(store, "week 1", week))
    with pytest.raises(WeekPromised):
        promised(store, "week 1", week)
    assert listed(store) == count


def test_a_week_without_pieces_promises_nothing(store: Store) -> None:
    with pytest.raises(InvalidDocument, match="takes a piece"):
        promised(store, "week 1", {"assignments": []})
