"""A write asked for twice under one key happens once, and both callers hear the same answer."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from concurrent.futures import ThreadPoolExecutor
from datetime import timedelta
from typing import Any

import pytest
import sqlalchemy as sa

from inventory.availability import Shortage
from inventory.store import Store, counts, reservations
from inventory.store.answers import Once, forget_answers
from inventory.store.errors import KeyReused
from tests.shelf import MORNING, a_store, an_order, by

KEY = Once("post-118", "a" * 64, MORNING)


@pytest.fixture
def store(database: str) -> Iterator[Store]:
    opened = a_store(database, {"riser-75": 6})
    yield opened
    opened.close()


def reserve(pieces: int) -> Callable[[sa.Connection], dict[str, Any]]:
    return lambda c: {"id": reservations.reserve(c, an_order(riser_75=pieces), by()).id}


def test_the_second_call_hears_the_first_ones_answer(store: Store) -> None:
    first = store.write_once(KEY, reserve(4))
    second = store.write_once(KEY, reserve(4))
    assert (first.answer, first.again, second.answer, second.again) == ({"id": 1}, False, {"id": 1}, True)
    assert store.snapshot(an_order(riser_75=1).span).free("riser-75") == 2


def test_many_callers_at_once_make_one_write(store: Store) -> None:
    with ThreadPoolExecutor(8) as threads:
        answers = list(threads.map(lambda _: store.write_once(KEY, reserve(4)), range(8)))
    assert [answer.answer for answer in answers] == [{"id": 1}] * 8
    assert sum(not answer.again for answer in answers) == 1


def test_another_write_under_the_same_key_is_refused(store: Store) -> None:
    store.write_once(KEY, reserve(1))
    with pytest.raises(KeyReused, match="post-118"):
        store.write_once(Once("post-118", "b" * 64, MORNING), reserve(2))


def test_a_refused_write_leaves_its_key_unused(store: Store) -> None:
    with pytest.raises(Shortage):
        store.write_once(KEY, reserve(7))
    store.write(lambda c: counts.receive(c, "riser-75", 1, by()))
    assert not store.write_once(KEY, reserve(7)).again


def test_without_a_key_every_call_writes(store: Store) -> None:
    assert [store.write_once(None, reserve(1)).answer["id"] for _ in range(2)] == [1, 2]


def test_keys_are_forgotten_in_time(store: Store) -> None:
    store.write_once(KEY, reserve(1))
    assert store.write(lambda c: forget_answers(c, MORNING)) == 0
    assert store.write(lambda c: forget_answers(c, MORNING + timedelta(days=1))) == 1
    assert not store.write_once(KEY, reserve(1)).again


def test_a_key_is_new_again_after_its_time(store: Store) -> None:
    def once(fingerprint: str, days: float) -> Once:
        return Once("post-118", fingerprint * 64, MORNING + timedelta(days=days), timedelta(days=1))

    assert store.write_once(once("a", 0), reserve(1)).answer == {"id": 1}
    assert store.write_once(once("a", 0.9), reserve(1)).again
    assert store.write_once(once("b", 1.1), reserve(2)).answer == {"id": 2}
    assert store.write_once(once("b", 1.2), reserve(2)).again
    with pytest.raises(KeyReused):
        store.write_once(once("a", 1.3), reserve(1))
