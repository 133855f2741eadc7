"""What stands for the content of values: the same for the same, another for anything else."""

from __future__ import annotations

import itertools

import numpy as np

from solver.ledgers.content import Value, content_of

ALL_DIFFERENT: tuple[tuple[Value, ...], ...] = (
    (), (0,), (0.0,), (-0.0,), (False,), (None,), ("",), (b"",), ("0",), (b"0",), ((),), ((0,),), (0, 0), ("a", "b"), ("ab",),
    (("a",), "b"), ("a", ("b",)), (np.zeros(1),), (np.zeros(2),), (np.zeros((1, 2)),), (np.zeros(1, dtype=np.int64),),
    (float(np.nextafter(1.0, 2.0)),), (1.0,), ("\x00",), (np.zeros((2, 1)),), (np.zeros(0),), (np.zeros((0, 3)),),
)  # fmt: skip


def test_what_differs_has_another_content() -> None:
    for one, other in itertools.combinations(ALL_DIFFERENT, 2):
        assert content_of(*one) != content_of(*other), (one, other)


def test_the_same_values_have_the_same_content() -> None:
    for values in ALL_DIFFERENT:
        assert content_of(*values) == content_of(*values) and len(content_of(*values)) == 16


def test_how_an_array_lies_in_memory_is_no_content() -> None:
    ledger = np.arange(12.0).reshape(3, 4)
    assert content_of(ledger[:, ::2]) == content_of(ledger[:, ::2].copy())
    assert content_of(ledger) == content_of(np.asfortranarray(ledger))
