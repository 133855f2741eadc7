"""Ledgers kept by content: found by who asks for the same, of bounded size, handed from process to process."""

from __future__ import annotations

from collections.abc import Iterator
from functools import partial

import numpy as np
import pytest

from solver.ledgers import kept as module
from solver.ledgers.answers import Small
from solver.ledgers.kept import forget_all, kept, kept_each, learning, new_ledgers, take_from, take_in
from solver.ledgers.names import Rows, mixed

NAMES = mixed(np.zeros((3, 2), dtype=np.uint64), np.arange(3))


@pytest.fixture(autouse=True)
def nothing_kept() -> Iterator[None]:
    forget_all()
    yield
    forget_all()
    take_from(None)


def told(answer: int, told_rows: list[int], rows: Rows) -> Small:
    told_rows.extend(rows.tolist())
    return np.full(len(rows), answer, dtype=np.uint8)


def test_what_depends_on_the_same_is_found() -> None:
    seen: list[int] = []
    assert kept_each("near", (1.5, "pitch"), NAMES[:2], partial(told, 3, seen)).tolist() == [3, 3]
    assert kept_each("near", (1.5, "pitch"), NAMES, partial(told, 4, seen)).tolist() == [3, 3, 4]
    assert kept_each("near", (1.6, "pitch"), NAMES[:1], partial(told, 5, seen)).tolist() == [5]
    assert kept_each("far", (1.5, "pitch"), NAMES[:1], partial(told, 6, seen)).tolist() == [6]
    assert seen == [0, 1, 2, 0, 0]
    assert kept("near", (1.5,), (1,), lambda: b"one") == kept("near", (1.5,), (1,), lambda: b"other") == b"one"
    assert kept("near", (1.5,), (2,), lambda: b"other") == b"other"


def test_ledgers_used_longest_ago_are_forgotten(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(module, "MOST_BYTES", 100)
    for number in (1, 2, 1, 3):  # the first is used again before the third
        kept("ledger", (number,), (0,), lambda: bytes(30))
    for number, there in ((1, True), (2, False)):
        assert kept("ledger", (number,), (0,), lambda: b"made anew") == (bytes(30) if there else b"made anew")


def test_a_table_larger_than_all_may_be_is_used_while_it_is_asked(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(module, "MOST_BYTES", 0)
    assert kept("ledger", (), (0,), lambda: bytes(30)) == kept("ledger", (), (0,), lambda: b"") == bytes(30)


def test_what_is_new_is_handed_over_once_and_joined_with_what_others_left() -> None:
    others: dict[str, object] = {}
    kept_each("near", (), NAMES[:2], partial(told, 3, []))
    kept("seats", (), (1,), lambda: b"seat")
    left = dict(new_ledgers(others.get))  # type: ignore[arg-type]
    assert sorted(name.split("-")[1] for name in left) == ["near", "seats"] and not dict(new_ledgers(left.get))
    forget_all()
    kept_each("near", (), NAMES[2:], partial(told, 4, []))
    ((name, arrays),) = new_ledgers(left.get)
    assert len(arrays["names"]) == 3
    forget_all()
    take_from({**left, name: arrays}.get)
    seen: list[int] = []
    assert kept_each("near", (), NAMES, partial(told, 9, seen)).tolist() == [3, 3, 4] and not seen
    assert kept("seats", (), (1,), lambda: b"") == b"seat"
    assert not dict(new_ledgers(left.get))


def test_little_that_is_new_is_not_handed_over() -> None:
    many = mixed(np.zeros((100, 2), dtype=np.uint64), np.arange(100))
    kept_each("near", (), many[:99], partial(told, 1, []))
    assert len(list(new_ledgers(lambda name: None))) == 1
    kept_each("near", (), many, partial(told, 1, []))
    assert not list(new_ledgers(lambda name: None))


def test_what_a_child_has_learned_is_known_here() -> None:
    with learning() as news:
        kept_each("near", (), NAMES, partial(told, 3, []))
        kept("seats", (), (1,), lambda: b"seat")
    forget_all()
    take_in(news)
    take_in(news)
    seen: list[int] = []
    assert kept_each("near", (), NAMES, partial(told, 9, seen)).tolist() == [3, 3, 3] and not seen
    assert kept("seats", (), (1,), lambda: b"") == b"seat"
    assert len(list(new_ledgers(lambda name: None))) == 2
