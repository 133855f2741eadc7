"""A plain L of two bars with one butt weld across its corner is held, the branch flush with the other's end."""

from __future__ import annotations

import pytest

from tests.oracle.jobs.joints import tee_job
from tests.oracle.jobs.raised import heavy_job
from tests.oracle.known import Known, no_dearer


@pytest.mark.parametrize(
    "known",
    [pytest.param(Known(tee_job, 16, (20.0, 20.0)), marks=pytest.mark.slow), Known(heavy_job, 16, (20.0, 20.0))],
    ids=["four stops and two clamps", "four stops and one clamp that pushes through both"],
)
def test_a_corner_of_two_bars_is_held(known: Known) -> None:
    assert no_dearer(known)
