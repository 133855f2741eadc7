"""The lighter part may go in first and locate the heavier one, where that is cheaper."""

from __future__ import annotations

import pytest

from tests.oracle.jobs.joints import tee_job
from tests.oracle.jobs.raised import in_line_job, raised_job
from tests.oracle.known import ANY_BEARING, Known, no_dearer


@pytest.mark.parametrize(
    "known",
    [
        pytest.param(Known(tee_job, 0, (15.0, 25.0)), marks=pytest.mark.slow),
        Known(tee_job, 4, (20.0, 20.0)),
        Known(in_line_job, 1, (0.0, 10.0)),
        Known(in_line_job, 13, (35.0, 24.999999)),
        Known(raised_job, 1002, (25.0, 25.0), ANY_BEARING),
    ],
    ids=[
        "a bar before a longer one",
        "a bar before a much longer one",
        "two tubes in line",
        "two bars in line pushed from their end",
        "a bar before the tube it lies along",
    ],
)
def test_the_lighter_part_locates_the_heavier_where_that_is_cheaper(known: Known) -> None:
    assert no_dearer(known)
