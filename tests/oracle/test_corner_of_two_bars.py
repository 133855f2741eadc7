"""A plain L of two bars is held by four stops and two clamps."""

from __future__ import annotations

import pytest

from tests.oracle.jobs.joints import tee_job
from tests.oracle.known import Known, no_dearer


@pytest.mark.xfail(
    strict=True,
    raises=AssertionError,
    reason="said to lack two points on one side, though both stops stand on the side the bar lies against",
)
def test_a_corner_of_two_bars_is_held_by_four_stops_and_two_clamps() -> None:
    assert no_dearer(Known(tee_job, 16, (20.0, 20.0)))
