"""Rows of cells become CSV that no spreadsheet runs."""

from __future__ import annotations

from service.exchange.cells import table


def test_texts_are_escaped_and_numbers_are_not() -> None:
    assert table([("=1+1", -2.5, 3), ("a,b", "-2", 0)]).decode("utf-8-sig") == "'=1+1,-2.5,3\r\n\"a,b\",'-2,0\r\n"
