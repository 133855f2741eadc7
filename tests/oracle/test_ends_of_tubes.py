"""Pads on the ends of tubes: over a corner of the rim, where two walls meet, they bear on both."""

from __future__ import annotations

import pytest

from tests.oracle.jobs.raised import heavy_job
from tests.oracle.known import ANY_BEARING, Known, no_dearer


def test_a_tip_over_the_corner_of_a_sharp_rim_may_save_a_clamp() -> None:
    assert no_dearer(Known(heavy_job, 1025, (25.0, 25.0), ANY_BEARING))


@pytest.mark.slow
def test_a_tip_over_the_corner_of_a_round_rim_may_save_a_clamp() -> None:
    assert no_dearer(Known(heavy_job, 1060, (20.000001, 20.0), ANY_BEARING))
