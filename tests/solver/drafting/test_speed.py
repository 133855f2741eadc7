"""Seams come while somebody draws: at once after a change, within a blink for a frame, within seconds for all that is allowed."""

from __future__ import annotations

import time
from collections.abc import Sequence
from dataclasses import replace

import pytest

from solver.drafting import seams
from solver.weldment import Part, Pose
from tests import builders as b


def ladder(rungs: int) -> list[Part]:
    """Two rails, so many rungs between them, and two lugs beside each."""
    rails = [b.tube(f"rail-{y}", length=300 * rungs, at=(0, y, 25)) for y in (25, 575)]
    more: list[Part] = []
    for number in range(rungs):
        x = 300 * number
        more.append(b.tube(f"rung-{number}", length=500, at=(100 + x, 50, 25), along=b.Y))
        more += [b.plate(f"lug-{number}-{y}", (60, 40), 8, (130 + x, y, 50)) for y in (5, 555)]
    return [*rails, *more]


def seconds(parts: Sequence[Part]) -> float:
    """Processor time that finding seams takes."""
    start = time.process_time()
    assert len(seams(parts)) > len(parts)
    return time.process_time() - start


def test_a_frame_of_20_parts_takes_a_blink_and_a_change_of_one_part_less() -> None:
    """Measured: 0.08 s, then 0.01 s; a busy machine takes longer."""
    parts = ladder(6)
    assert seconds(parts) < 1.0
    *others, last = parts
    changed = replace(last, pose=Pose((last.pose.at[0] + 10, *last.pose.at[1:]), last.pose.along, last.pose.up))
    assert seconds([*others, changed]) < 0.3


@pytest.mark.slow
def test_200_parts_take_about_a_second() -> None:
    """Measured: 0.85 s."""
    assert seconds(ladder(66)) < 6.0
