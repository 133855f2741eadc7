"""Records kept: bytes by their content's name."""

from __future__ import annotations

import pytest

from solver.ledgers import records
from solver.ledgers.content import content_of
from solver.ledgers.records import Records

ONE, OTHER = content_of(1), content_of(2)


def never() -> bytes:
    raise AssertionError("asked for what is known")


def test_a_record_is_made_once() -> None:
    ledger = Records()
    assert ledger.ask(ONE, lambda: b"seat")[0] == b"seat"
    assert ledger.ask(ONE, never) == (b"seat", None)
    assert ledger.ask(OTHER, lambda: b"")[0] == b"" and len(ledger) == 2


def test_records_survive_being_written_and_read() -> None:
    ledger, again = Records(), Records()
    for name, record in ((ONE, b"seat"), (OTHER, b""), (content_of(3), b"\x00\x01")):
        ledger.ask(name, lambda record=record: record)  # type: ignore[misc]
    again.take_in(ledger.arrays())
    again.take_in(ledger.arrays())
    assert again.known == ledger.known and again.size == ledger.size == 3 * 16 + 6
    again.take_in(Records().arrays())
    assert len(again) == 3


def test_a_full_table_forgets(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(records, "MOST_BYTES", 30)
    ledger = Records()
    for number in range(9):
        assert ledger.ask(content_of(number), lambda: b"ten  bytes")[0] == b"ten  bytes"
        assert ledger.size <= 30 + 26
