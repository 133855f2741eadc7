"""Where a moved body comes too near: as hand calculation says, as stepping says, and clear by its clearance at both ends."""

from __future__ import annotations

import math
from random import Random

import numpy as np
import pytest

from inventory.shapes import Array
from solver.geometry.free_intervals import Stretches, too_near
from solver.geometry.hulls import Hulls
from solver.geometry.proximity import distances, near
from tests.solver.geometry.test_proximity import a_prism

ALONG_X, ALONG_Y = np.array([1.0, 0.0, 0.0]), np.array([0.0, 1.0, 0.0])
FIRST = np.array([0])
CORNERS = np.array([[x, y, z] for x in (0, 1) for y in (0, 1) for z in (0, 1)], dtype=float)


def block(low: tuple[float, float, float], high: tuple[float, float, float]) -> Hulls:
    return Hulls.of([np.array(low) + CORNERS * (np.array(high) - np.array(low))], [0])


def round_post(radius: float, corners: int, height: float) -> Hulls:
    turns = np.arange(corners) * 2 * np.pi / corners
    ring = radius * np.column_stack([np.cos(turns), np.sin(turns)])
    return Hulls.of([np.concatenate([np.column_stack([ring, np.full(corners, z)]) for z in (0.0, height)])], [0])


def stretch(a: Hulls, b: Hulls, along: Array, clear: float) -> tuple[float, float]:
    low, high = too_near(a, FIRST, b, FIRST, along, clear)
    return float(low[0]), float(high[0])


def test_a_block_past_a_block_keeps_the_clearance_ahead_and_behind() -> None:
    """Hand calculation: 20 wide past 30 wide, 5 mm to keep: from 100 - 20 - 5 to 130 + 5."""
    moved, fixed = block((0, 0, 0), (20, 20, 50)), block((100, 0, 0), (130, 20, 50))
    assert stretch(moved, fixed, ALONG_X, 5.0) == pytest.approx((75, 135), abs=1e-9)
    assert stretch(moved, fixed, -ALONG_X, 5.0) == pytest.approx((-135, -75), abs=1e-9)


def test_corners_that_pass_keep_the_clearance_by_pythagoras() -> None:
    """Hand calculation: 3 mm aside and 5 to keep leave sqrt(25 - 9) = 4 ahead and behind; 5 aside leave nothing to keep."""
    moved, fixed = block((0, 0, 0), (20, 20, 50)), block((100, 23, 0), (130, 60, 50))
    assert stretch(moved, fixed, ALONG_X, 5.0) == pytest.approx((76, 134), abs=1e-9)
    assert np.isnan(stretch(moved, block((100, 25, 0), (130, 60, 50)), ALONG_X, 5.0)).all()


def test_what_passes_above_keeps_less_sideways() -> None:
    """Hand calculation: 12 mm above and 13 to keep leave sqrt(169 - 144) = 5; 3 aside as well leave 4; 13 above leave none."""
    moved = block((0, 0, 62), (20, 20, 80))
    assert stretch(moved, block((100, 0, 0), (130, 20, 50)), ALONG_X, 13.0) == pytest.approx((75, 135), abs=1e-9)
    assert stretch(moved, block((100, 23, 0), (130, 60, 50)), ALONG_X, 13.0) == pytest.approx((76, 134), abs=1e-9)
    assert np.isnan(stretch(moved, block((100, 0, 0), (130, 20, 49)), ALONG_X, 13.0)).all()


def test_a_slanted_line_past_a_corner() -> None:
    """Hand calculation: a thin post up the diagonal to a block's corner, sqrt(2) * 50 away, stops 4 short of it."""
    along = np.array([1.0, 1.0, 0.0]) / math.sqrt(2)
    low, high = stretch(round_post(1e-9, 4, 50), block((50, 50, 0), (80, 80, 50)), along, 4.0)
    assert (low, high) == pytest.approx((50 * math.sqrt(2) - 4, 80 * math.sqrt(2) + 4), abs=1e-6)


def test_round_posts_meet_at_the_sum_of_their_radii() -> None:
    """Hand calculation: radii 10 and 15, 5 to keep, 18 aside: sqrt(30^2 - 18^2) = 24; corners take a little off."""
    moved, fixed = round_post(10, 96, 40), round_post(15, 96, 40).shifted(np.array([200.0, 18.0, 0.0]))
    assert stretch(moved, fixed, ALONG_X, 5.0) == pytest.approx((176, 224), abs=0.05)


def test_a_slanted_brace_is_found_by_bisection() -> None:
    """Hand calculation: a brace at 45 degrees, its faces 10 sqrt(2) wide along x, met at its foot by a block 0 to 10 high.

    Between the block's upper edge and the brace, 4 mm across are 4 sqrt(2) along x; behind, the foot's edge is level with it.
    """
    square = np.array([[0, 0], [10 * math.sqrt(2), 0]])
    foot = np.array([[x, y, 0.0] for x, _ in square for y in (0.0, 30.0)])
    brace = Hulls.of([np.concatenate([foot, foot + np.array([60.0, 0.0, 60.0])])], [0])
    moved = block((-100, 5, 20), (-90, 25, 30))
    low, high = stretch(moved, brace, ALONG_X, 4.0)
    assert low == pytest.approx(90 + 20 - 4 * math.sqrt(2), abs=1e-6)
    assert high == pytest.approx(100 + 10 * math.sqrt(2) + 30 + 4 * math.sqrt(2), abs=1e-6)


@pytest.mark.parametrize("seed", [0, *(pytest.param(seed, marks=pytest.mark.slow) for seed in (1, 2, 3, 4, 5))])
def test_stretches_hold_what_stepping_finds_and_end_at_the_clearance(seed: int) -> None:
    """Stepping by 0.1 mm; the distance at both ends is the clearance to 1e-6 mm, within what the distance itself is good for."""
    draw = Random(seed)
    a, b = (Hulls.of([a_prism(draw) for _ in range(12)], range(12)) for _ in range(2))
    i, j = (np.ravel(grid) for grid in np.meshgrid(range(12), range(12), indexing="ij"))
    turn, clear = draw.choice((0.0, math.pi / 2, draw.uniform(0, 6.3))), draw.choice((0.5, 4.0, 15.0))
    along = np.array([math.cos(turn), math.sin(turn), 0.0])
    low, high = too_near(a, i, b, j, along, clear)
    met = np.flatnonzero(~np.isnan(low))
    assert 10 < len(met) < len(i)
    for end in (low, high):
        placed = a.take(i[met]).shifted(end[met, None] * along)
        assert distances(placed, np.arange(len(met)), b, j[met]) == pytest.approx(clear, abs=1e-6)
    steps = np.arange(-300.0, 300.0, 0.1)
    for pair in (*met[:3].tolist(), *np.flatnonzero(np.isnan(low))[:3].tolist()):
        walked = Hulls.copies(
            [a.take(i[[pair]])], np.zeros(len(steps), dtype=np.intp), steps[:, None] * along, np.arange(len(steps))
        )
        hit = near(walked, np.arange(len(steps)), b, np.full(len(steps), j[pair]), clear)
        sure = ~((np.abs(steps - low[pair]) < 1e-3) | (np.abs(steps - high[pair]) < 1e-3))
        assert (hit == Stretches.of(low[[pair]], high[[pair]]).hold(steps))[sure].all()


def test_what_stretches_cover_together() -> None:
    found = Stretches.of(np.array([5.0, 0.0, np.nan, 8.0, 1.0]), np.array([6.0, 3.0, np.nan, 9.0, 2.0]))
    assert (found.low.tolist(), found.high.tolist()) == ([0, 5, 8], [3, 6, 9])
    assert found.hold(np.array([-1, 0, 0.1, 3, 4, 5.5, 8.9, 9])).tolist() == [False, False, True, False, False, True, True, False]
    assert found.gaps(2.0, 8.5).tolist() == [[3, 5], [6, 8]]
    assert found.gaps(-1.0, 20.0).tolist() == [[-1, 0], [3, 5], [6, 8], [9, 20]]


def test_stretches_that_only_touch_leave_a_place_between() -> None:
    found = Stretches.of(np.array([0.0, 2.0]), np.array([2.0, 4.0]))
    assert not found.hold(np.array([2.0]))[0]
    assert found.gaps(0.0, 4.0).tolist() == [[0, 0], [2, 2], [4, 4]]


def test_without_stretches_all_is_free() -> None:
    nothing = Stretches.of(np.zeros(0), np.zeros(0))
    assert not nothing.hold(np.linspace(-5, 5, 3)).any()
    assert nothing.gaps(1.0, 2.0).tolist() == [[1, 2]]
