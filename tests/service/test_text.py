"""What is shown is safe to show, and lengths stand in the unit the weldment was drawn in."""

from __future__ import annotations

import pytest

from service.text import length, money, printable


@pytest.mark.parametrize(
    ("mm", "shown"),
    [(0, "0 mm"), (-0.0, "0 mm"), (-0.001, "0 mm"), (12.5, "12.5 mm"), (1200, "1200 mm"), (0.126, "0.13 mm"), (-3.1, "-3.1 mm")],
)
def test_millimetres_have_two_decimals_at_most(mm: float, shown: str) -> None:
    assert length(mm, "mm") == shown


@pytest.mark.parametrize(
    ("mm", "shown"), [(12.7, "0.500 in"), (25.4, "1.000 in"), (-0.001, "0.000 in"), (600, "23.622 in"), (-3.175, "-0.125 in")]
)
def test_inches_have_three_decimals(mm: float, shown: str) -> None:
    assert length(mm, "inch") == shown


def test_a_currency_of_letters_stands_behind_the_amount_and_a_sign_before_it() -> None:
    assert (money(123456), money(123456, "EUR"), money(-50, "$")) == ("1,234.56", "1,234.56 EUR", "-$0.50")


def test_what_steers_a_terminal_is_escaped() -> None:
    assert printable("a\x1b[31m\u202eb é") == "a\\x1b[31m\\u202eb é"
