"""A beam longer than its table is held, whatever stands on it, as long as the table bears it."""

from __future__ import annotations

import pytest

from tests.oracle.jobs.beams import beam_job, long_beam_job
from tests.oracle.known import ANY_BEARING, Known, no_dearer


@pytest.mark.slow
def test_a_beam_with_a_saddle_near_its_end_is_held_with_the_other_end_hanging_out() -> None:
    assert no_dearer(Known(beam_job, 5, (0.0, 30.0)))


@pytest.mark.parametrize(
    ("seed", "phase"), [pytest.param(27, (25.0, 15.0), marks=pytest.mark.slow, id="27"), pytest.param(28, (5.0, 5.0), id="28")]
)
def test_a_beam_of_1400_mm_with_a_saddle_is_held_on_a_table_of_800(seed: int, phase: tuple[float, float]) -> None:
    assert no_dearer(Known(long_beam_job, seed, phase))


@pytest.mark.slow
def test_a_beam_of_1400_mm_sits_where_its_fixture_is_cheapest() -> None:
    assert no_dearer(Known(long_beam_job, 17, (15.0, 25.0)))


@pytest.mark.slow
def test_a_beam_is_true_enough_by_other_means_than_wider_side_points() -> None:
    """The oracle holds it for 2,116 cents, its side points no wider than those of fixtures that are not true enough."""
    status, cents = Known(long_beam_job, 2000, (0.0, 0.0), ANY_BEARING).planned()
    assert status == "optimal" and cents is not None and cents <= 2116
