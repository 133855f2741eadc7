"""Records kept: bytes by their content's name."""

from __future__ import annotations

import pytest

from solver.tables import records
from solver.tables.content import content_of
from solver.tables.records import Records

ONE, OTHER = content_of(1), content_of(2)


def never() -> bytes:
    raise AssertionError("asked for what is known")


def test_a_record_is_made_once() -> None:
    table = Records()
    assert table.ask(ONE, lambda: b"seat")[0] == b"seat"
    assert table.ask(ONE, never) == (b"seat", None)
    assert table.ask(OTHER, lambda: b"")[0] == b"" and len(table) == 2


def test_records_survive_being_written_and_read() -> None:
    table, again = Records(), Records()
    for name, record in ((ONE, b"seat"), (OTHER, b""), (content_of(3), b"\x00\x01")):
        table.ask(name, lambda record=record: record)  # type: ignore[misc]
    again.take_in(table.arrays())
    again.take_in(table.arrays())
    assert again.known == table.known and again.size == table.size == 3 * 16 + 6
    again.take_in(Records().arrays())
    assert len(again) == 3


def test_a_full_table_forgets(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(records, "MOST_BYTES", 30)
    table = Records()
    for number in range(9):
        assert table.ask(content_of(number), lambda: b"ten  bytes")[0] == b"ten  bytes"
        assert table.size <= 30 + 26
