"""The largest plan there is, in space, is turned without jerks even where no graphics card helps."""

from __future__ import annotations

import pytest

from tests.benchmarks.space_view import frame_rate


@pytest.mark.slow
def test_the_base_of_20_parts_is_drawn_30_times_a_second_while_it_is_turned() -> None:
    """On a machine that has nothing else to do."""
    assert frame_rate("frame-20").a_second >= 30
