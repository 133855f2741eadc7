"""A deadline says how long is left and whether the caller wants to end; parts of it end before the whole."""

from __future__ import annotations

import pytest

from solver import Deadline
from solver.deadline import DeadlinePassed, current, look


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


def test_a_look_gives_work_up_once_the_deadline_in_force_is_over() -> None:
    left = [1.0]
    look()  # no deadline is in force
    with at(left).in_force():
        look()
        left[0] = 0.0
        with pytest.raises(DeadlinePassed):
            look()
        with at([1.0]).in_force():
            look()
        with pytest.raises(DeadlinePassed):
            look()
    look()
    assert current() is None


def test_an_overrun_counts_from_when_the_deadline_is_found_to_be_over() -> None:
    left, stop = [10.0], [False]
    late = Deadline(lambda: left[0], lambda: stop[0]).overrun(0.4)
    left[0] = 5.0
    assert not late.over
    stop[0] = True
    assert not late.over
    left[0] = 4.7
    assert not late.over
    left[0] = 4.5
    assert late.over
