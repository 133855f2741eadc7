"""A deadline says how long is left and whether the caller wants to end; parts of it end before the whole."""

from __future__ import annotations

from solver import Deadline


def at(left: list[float]) -> Deadline:
    """A deadline whose seconds left are whatever the list holds now."""
    return Deadline(lambda: left[0])


def test_it_is_over_when_time_is_up_or_the_caller_stops() -> None:
    assert not Deadline(lambda: 0.1).over
    assert Deadline(lambda: 0.0).over
    assert Deadline(lambda: 0.1, lambda: True).over


def test_parts_of_it_run_with_the_whole() -> None:
    left = [10.0]
    whole = at(left)
    within, earlier, leaving = whole.within(4.0), whole.earlier(1.0), whole.leaving(0.3)
    assert (within.seconds_left(), earlier.seconds_left(), leaving.seconds_left()) == (4.0, 9.0, 7.0)
    left[0] = 7.0
    assert (within.seconds_left(), earlier.seconds_left(), leaving.seconds_left()) == (1.0, 6.0, 4.0)


def test_a_part_never_outlasts_the_whole() -> None:
    left = [2.0]
    assert at(left).within(5.0).seconds_left() == 2.0
    assert Deadline(lambda: 2.0, lambda: True).within(1.0).over


def test_it_counts_on_any_clock() -> None:
    now = [100.0]
    deadline = Deadline.on(lambda: now[0], 3.0)
    now[0] = 102.0
    assert deadline.seconds_left() == 1.0
