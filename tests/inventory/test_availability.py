"""Free pieces over spans of days, against counting every day by hand."""

from __future__ import annotations

from datetime import date, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from inventory.availability import Promise, Span, asked_span, free_from, peak, short_line, stretches
from inventory.errors import InvalidDocument

FIRST = date(2027, 3, 1)
HORIZON = 40
spans = st.builds(
    lambda begin, length: Span(FIRST + timedelta(days=begin), FIRST + timedelta(days=begin + length)),
    st.integers(0, 15),
    st.integers(0, 8),
)
promise_lists = st.lists(st.builds(Promise, spans, st.integers(1, 5)), max_size=8)


def march(first: int, last: int) -> Span:
    return Span(date(2027, 3, first), date(2027, 3, last))


def by_hand(promises: list[Promise], day: date) -> int:
    return sum(promise.pieces for promise in promises if promise.span.first <= day <= promise.span.last)


def all_days(span: Span) -> list[date]:
    return [span.first + timedelta(days=n) for n in range(span.days)]


@given(promise_lists, spans)
def test_the_peak_is_that_of_the_worst_day(promises: list[Promise], span: Span) -> None:
    assert peak(promises, span) == max(by_hand(promises, day) for day in all_days(span))


@given(promise_lists, spans, st.integers(0, 12), st.integers(1, 12))
def test_the_first_day_with_enough_free(promises: list[Promise], span: Span, usable: int, needed: int) -> None:
    starts = [span.first + timedelta(days=n) for n in range(HORIZON)]
    enough = [s for s in starts if all(usable - by_hand(promises, d) >= needed for d in all_days(span.from_day(s)))]
    assert free_from(usable, promises, span, needed) == (enough[0] if enough else None)


def test_promises_that_follow_each_other_share_pieces() -> None:
    promises = [Promise(march(1, 2), 4), Promise(march(3, 4), 4)]
    assert peak(promises, march(1, 4)) == 4


def test_promises_that_share_one_day_do_not() -> None:
    promises = [Promise(march(1, 3), 4), Promise(march(3, 4), 4)]
    assert peak(promises, march(1, 4)) == 8


def test_a_short_line_says_how_many_are_free_and_from_when_more_are() -> None:
    promises = [Promise(march(1, 8), 2), Promise(march(1, 4), 2)]
    short = short_line("riser-75", "riser 75 mm", 8, promises, march(2, 3), 6)
    assert short is not None
    assert str(short) == "riser 75 mm: 6 needed, 4 free from 2 March; 6 free from 5 March"
    assert (short.free, short.more_from, short.more_free, short.enough_from) == (4, date(2027, 3, 5), 6, date(2027, 3, 5))


def test_a_line_that_never_has_enough_says_so() -> None:
    short = short_line("riser-75", "riser 75 mm", 5, [Promise(march(1, 8), 2)], march(2, 3), 6)
    assert str(short) == "riser 75 mm: 6 needed, 3 free from 2 March; 5 free from 9 March; only 5 in service"
    assert short_line("riser-75", "riser 75 mm", 5, [Promise(march(1, 8), 2)], march(2, 3), 3) is None


def test_fewer_in_service_than_promised_leaves_nothing_not_less() -> None:
    short = short_line("riser-75", "riser 75 mm", -1, [Promise(march(1, 8), 2)], march(2, 3), 1)
    assert short is not None and (short.free, short.usable) == (0, 0)


def test_days_in_the_wrong_order_are_refused_one_day_is_not() -> None:
    assert march(3, 3).days == 1
    with pytest.raises(InvalidDocument, match="before the first"):
        march(3, 2)


def test_a_span_without_end_is_refused_ten_years_are_not() -> None:
    assert asked_span(FIRST, FIRST + timedelta(days=3659)).days == 3660
    with pytest.raises(InvalidDocument, match="3661 days"):
        asked_span(FIRST, FIRST + timedelta(days=3660))


@given(promise_lists, spans, st.integers(0, 12))
def test_stretches_say_what_is_free_on_every_day_and_leave_none_out(promises: list[Promise], span: Span, usable: int) -> None:
    said = {day: free for stretch, free in stretches(usable, promises, span) for day in all_days(stretch)}
    assert said == {day: usable - by_hand(promises, day) for day in all_days(span)}
