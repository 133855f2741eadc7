"""Lengths as people type them."""

from __future__ import annotations

import pytest

from inventory.errors import InvalidDocument
from service.weldments.lengths import read_length, read_number, typed


@pytest.mark.parametrize(
    ("text", "units", "value"),
    [
        ("12.5", "mm", 12.5), ("12,5", "mm", 12.5), (" 500 ", "mm", 500), ("-3", "mm", -3), (",5", "mm", 0.5), ("5.", "mm", 5),
        ("1 1/2", "inch", 1.5), ("1-1/2", "inch", 1.5), ("3/16", "inch", 0.1875), ("-1 1/4", "inch", -1.25), ("0.125", "inch", 0.125),
        ("1/2 in", "mm", 12.7), ('2"', "mm", 50.8), ("50.8 mm", "inch", 2), ("5 cm", "mm", 50), ("1.2 m", "mm", 1200),
        ("12.5mm", "mm", 12.5), ("1000.250", "mm", 1000.25), ("0,250", "mm", 0.25),
    ],
)  # fmt: skip
def test_what_people_type_is_read(text: str, units: str, value: float) -> None:
    assert read_length(text, units) == value


@pytest.mark.parametrize(
    "text",
    ["", "  ", "twelve", "1/0", "1..5", "0x10", "nan", "inf", "1e400", "9" * 50, "1 2", "12 ft", "<b>1</b>", "1/2/3", "-", "."],
)
def test_what_is_no_length_is_told(text: str) -> None:
    with pytest.raises(InvalidDocument) as refused:
        read_length(text, "mm", "/length")
    (fault,) = refused.value.faults
    assert fault.pointer == "/length" and fault.accepted.startswith("a length in mm")


def test_a_comma_that_may_part_thousands_is_not_guessed_at() -> None:
    with pytest.raises(InvalidDocument, match=r"'1,250' may mean 1250 or 1\.250"):
        read_length("1,250", "mm")
    with pytest.raises(InvalidDocument, match="has commas"):
        read_number("1,250,000.5")


def test_a_number_in_a_field_is_as_it_was_typed() -> None:
    assert [typed(value) for value in (12.5, 500, None, 0.1875, "x")] == ["12.5", "500", "", "0.1875", "x"]
    assert len(typed(10**80)) < 70
