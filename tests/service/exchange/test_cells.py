"""Cells of spreadsheets: nothing that stands in a name runs as a formula, and every name comes back as it was."""

from __future__ import annotations

import csv
import io
import re

import pytest
from hypothesis import given
from hypothesis import strategies as st

from service.exchange.cells import Unreadable, cents, escaped, number, plain, table, whole

# OWASP, "CSV Injection": a cell that begins with one of these (source not checked); full-width ones are taken for the same.
DANGEROUS = "=+-@\t\r\uff1d\uff0b\uff0d\uff20"
UNSEEN = " \u00a0\u2003\u3000\ufeff\u200b\u2060\u00ad\u202e\u180e\u3164\u2028\x0b\x00'"
nasty = st.text(st.sampled_from(DANGEROUS + UNSEEN + ';,|\n"a1'), max_size=12) | st.text(max_size=8)


def begins_a_formula(cell: str) -> bool:
    return re.match(f"[{UNSEEN.replace(chr(39), '')}]*[{re.escape(DANGEROUS)}]", cell) is not None


@given(nasty)
def test_what_is_escaped_comes_back(text: str) -> None:
    assert plain(escaped(text)) == text


@given(nasty, st.sampled_from(";,|\t"))
def test_no_cell_begins_a_formula_whatever_the_reader_takes_for_the_separator(text: str, sign: str) -> None:
    for cell in re.split(rf"[{re.escape(sign)}\r\n]", escaped(text)):
        assert not begins_a_formula(cell), (text, cell)


@pytest.mark.parametrize(
    "text",
    ["=1+1", " =1+1", "\u00a0=1+1", "\ufeff=1+1", "\u200b+1", "\u2003-1", "\u3000@A1", "\uff1d1+1", "a;=1+1", "a; =1+1", "a|-1", "a;\ufeff@A1"],
)  # fmt: skip
def test_the_names_that_ran(text: str) -> None:
    (line,) = csv.reader(io.StringIO(table([[text]]).decode("utf-8-sig")))
    assert line == [escaped(text)] != [text]
    assert not any(begins_a_formula(cell) for cell in line[0].split(";"))


@pytest.mark.parametrize("text", ["riser-75", "Riser, 75", "5 - 3", "a; b", "it's", "x=1", "a;b=2"])
def test_plain_names_stay_as_they_are(text: str) -> None:
    assert escaped(text) == text == plain(f"  {text} ")


def test_blanks_at_the_ends_are_kept() -> None:
    assert escaped(" riser") == "' riser"
    assert plain("' riser") == " riser"
    assert plain(escaped("riser\u00a0")) == "riser\u00a0"


def test_money_is_read_and_nonsense_is_not() -> None:
    assert cents("12.50") == 1250
    with pytest.raises(Unreadable, match="more than 60 digits"):
        whole("9" * 400)
    assert number("9" * 60) == 10**60 - 1


def test_texts_are_escaped_and_numbers_are_not() -> None:
    assert table([("=1+1", -2.5, 3), ("a,b", "-2", 0)]).decode("utf-8-sig") == "'=1+1,-2.5,3\r\n\"a,b\",'-2,0\r\n"
