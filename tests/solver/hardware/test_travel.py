"""Settings of slides and tips: rounded to their steps, within their range."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from solver.hardware.travel import Travel, Travels

ALONG = np.array([0.0, 1.0, 0.0])


@given(wanted=st.floats(0, 25), low=st.floats(-5, 5), step=st.floats(0.1, 3))
def test_a_slide_with_steps_is_set_to_the_nearest_whole_step_from_its_least_setting(
    wanted: float, low: float, step: float
) -> None:
    setting = Travel(ALONG, low, low + 25, step).nearest(wanted)
    assert abs(setting - wanted) <= step / 2 + 1e-9
    assert (setting - low) / step == pytest.approx(round((setting - low) / step), abs=1e-6)


def test_a_slide_without_steps_is_set_as_wanted() -> None:
    assert Travel(ALONG, 0, 25, 0).nearest(12.34) == 12.34
    assert Travel(ALONG, 0, 25, 0.5).nearest(12.3) == pytest.approx(12.5)
    assert Travel(ALONG, 0.2, 25, 0.5).nearest(12.3) == pytest.approx(12.2)


def test_a_range_holds_its_ends_and_nothing_beyond() -> None:
    slide = Travel(ALONG, 5, 30, 0.5)
    assert slide.length == 25 and slide.holds(5) and slide.holds(5, 30)
    assert not slide.holds(4.9) and not slide.holds(10, 30.1)


def test_many_travels_round_and_hold_as_each_does_alone() -> None:
    alone = [Travel(ALONG, 0, 25, 0), Travel(ALONG, 1, 26, 0.5), None, Travel(2 * ALONG, -3, 4, 2)]
    together, wanted = Travels.of(alone), np.array([12.34, 12.3, 0.0, 5.2])
    assert together.nearest(wanted).tolist() == [t.nearest(w) if t else 0.0 for t, w in zip(alone, wanted.tolist(), strict=True)]
    assert together.holds(wanted, 1e-6).tolist() == [True, True, True, False]
    assert together.take(np.array([3, 3])).low.tolist() == [-3, -3]


def test_what_moves_stands_off_by_the_setting_along_the_travel_and_what_does_not_stays() -> None:
    slide = Travel(ALONG, 0, 25, 0)
    assert slide.displacement(10).tolist() == [0, 10, 0]
    assert slide.unmoved().displacement(10).tolist() == [0, 0, 0] and slide.unmoved().length == 25
