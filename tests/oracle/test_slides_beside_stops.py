"""Places of the lattice that fixed stops do not fit are tried with slides, where slides are on the shelf."""

from __future__ import annotations

import pytest

from tests.oracle.jobs.joints import tee_job
from tests.oracle.jobs.raised import in_line_job
from tests.oracle.known import ANY_BEARING, Known, no_dearer


@pytest.mark.parametrize(
    "known",
    [
        Known(tee_job, 19, (31.0, 20.0)),
        pytest.param(Known(tee_job, 28, (15.0, 39.0), ANY_BEARING), marks=pytest.mark.slow),
    ],
)
def test_a_joint_that_only_slides_fit_is_held(known: Known) -> None:
    assert no_dearer(known)


@pytest.mark.slow
def test_one_slide_beside_fixed_stops_is_taken_where_that_is_cheaper() -> None:
    assert no_dearer(Known(in_line_job, 9, (1.000001, 20.0), ANY_BEARING))
