"""Values in the words of a shop."""

from __future__ import annotations

from datetime import UTC, date, datetime

import pytest

from service.page.wording import DASH, counted, day, minutes, moment, number, percent


@pytest.mark.parametrize(
    ("seconds", "said"), [(0, "0 s"), (38, "38 s"), (119, "119 s"), (410, "7 min"), (4800, "80 min"), (7260, "2 h 01 min")]
)
def test_a_span_of_time_is_never_shown_shorter_than_it_is(seconds: float, said: str) -> None:
    assert minutes(seconds) == said


def test_numbers_days_and_counts() -> None:
    assert (number(12.50), number(-0.001), number(1234.5), number(100)) == ("12.5", "0", "1,234.5", "100")
    assert (percent(0.0163), percent(None)) == ("1.6 %", DASH)
    assert day(date(2027, 3, 1)) == "Mon 1 Mar 2027"
    assert moment(datetime(2027, 3, 1, 8, 5, tzinfo=UTC)) == "2027-03-01 08:05 UTC"
    assert (counted(1, "piece"), counted(1200, "piece"), counted(2, "box", "boxes")) == ("1 piece", "1,200 pieces", "2 boxes")
