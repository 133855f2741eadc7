"""The largest plan there is, in space, is turned without jerks even where no graphics card helps."""

from __future__ import annotations

import pytest

from tests.benchmarks.space_view import frame_rate

TWO_PROCESSORS_MS = 2 * 1000 / 30
"""What two processors have for a frame at 30 frames a second."""


@pytest.mark.slow
def test_two_processors_draw_the_base_of_20_parts_30_times_a_second_while_it_is_turned() -> None:
    """Told by what a frame costs, which other work on the machine changes little; the benchmark has the rate itself."""
    assert frame_rate("frame-20").cpu_ms <= TWO_PROCESSORS_MS
