"""Answers kept: computed once, the same whoever asks in whatever order."""

from __future__ import annotations

from random import Random

import numpy as np
import pytest

from solver.ledgers import answers
from solver.ledgers.answers import Answers, Small
from solver.ledgers.names import Names, Rows, mixed


def named(numbers: list[int]) -> Names:
    return mixed(np.zeros((len(numbers), 2), dtype=np.uint64), np.array(numbers, dtype=np.intp))


def asked(ledger: Answers, numbers: list[int], seen: list[int] | None = None) -> list[int]:
    """Ask a ledger for numbers modulo 7."""

    def compute(rows: Rows) -> Small:
        some = np.array(numbers)[rows]
        if seen is not None:
            seen.extend(some.tolist())
        return (some % 7).astype(np.uint8)

    found: list[int] = ledger.ask(named(numbers), compute)[0].tolist()
    return found


def test_what_is_known_is_not_computed_again() -> None:
    ledger, seen = Answers(), list[int]()
    assert asked(ledger, [5, 9, 5], seen) == [5, 2, 5]
    assert asked(ledger, [9, 30, 5, 9], seen) == [2, 2, 5, 2]
    assert seen == [5, 9, 30]
    assert ledger.ask(named([9]), lambda rows: np.zeros(0, np.uint8))[1] is None


@pytest.mark.parametrize("seed", range(3))
def test_many_questions_in_any_order(seed: int) -> None:
    draw, ledger, seen = Random(seed), Answers(), list[int]()
    for _ in range(60):
        numbers = [draw.randrange(3000) for _ in range(draw.randrange(1, 90))]
        assert asked(ledger, numbers, seen) == [number % 7 for number in numbers]
    assert len(seen) == len(set(seen)) == len(ledger)
    assert all(len(longer) >= 2 * len(shorter) for longer, shorter in zip(ledger.runs, ledger.runs[1:], strict=False))
    again = Answers()
    again.take_in(ledger.arrays())
    assert asked(again, seen, none := list[int]()) == [number % 7 for number in seen] and not none


def test_names_that_begin_alike_are_told_apart() -> None:
    ledger = Answers()
    names = np.array([[1, 1], [1, 2]], dtype=np.uint64)
    for _ in range(2):
        assert ledger.ask(names, lambda rows: rows.astype(np.uint8))[0].tolist() == [0, 1]
    assert ledger.ask(names[:1], lambda rows: np.full(1, 4, np.uint8))[0].tolist() == [4]
    assert ledger.ask(names[1:], lambda rows: np.full(1, 5, np.uint8))[0].tolist() == [5]
    assert ledger.ask(names, lambda rows: rows.astype(np.uint8) + np.uint8(4))[0].tolist() == [4, 5]


def test_a_full_table_forgets_and_says_the_same(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(answers, "MOST_ANSWERS", 10)
    ledger = Answers()
    for first in range(0, 40, 4):
        assert asked(ledger, list(range(first, first + 4))) == [number % 7 for number in range(first, first + 4)]
        assert len(ledger) <= 10
    assert ledger.size == 17 * len(ledger)
