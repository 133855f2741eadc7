"""Locating and errors carried along chains of parts."""

from __future__ import annotations

from itertools import combinations

import numpy as np
import pytest

from solver.accuracy import EXACT, Axis, PartContacts, locating_state, motions, point_deviation, source_error_mm
from solver.accuracy.locator_matrix import _best_subset

NONE = -1
TABLE = [((x, y, 0), (0, 0, 1), EXACT, NONE) for x in (0, 300) for y in (-25, 25)]


def part(*rows: tuple[tuple[float, float, float], tuple[float, float, float], int, int]) -> PartContacts:
    return PartContacts(
        np.array([row[0] for row in rows], dtype=float),
        np.array([row[1] for row in rows], dtype=float),
        np.array([row[2] for row in rows]),
        np.array([row[3] for row in rows]),
    )


BAR = part(*TABLE, ((50, -25, 25), (0, 1, 0), 0, NONE), ((250, -25, 25), (0, 1, 0), 1, NONE), ((0, 0, 25), (1, 0, 0), 2, NONE))
ON_BAR = [((x, y, 50), (0, 0, 1), EXACT, 0) for x in (140, 160) for y in (-20, 20)]
# A lug on the bar, its long side and its end against the bar's own stop 0 and two stops of its own.
LUG = part(
    *ON_BAR, ((140, -20, 60), (1, 0, 0), 3, NONE), ((140, 20, 60), (1, 0, 0), 4, NONE), ((150, -20, 60), (0, 1, 0), 0, NONE)
)


def test_wider_side_points_condition_better() -> None:
    mass = (np.array([150.0, 0, 25]), 90.0)
    wide = locating_state(BAR.at, BAR.normal, *mass)
    near = part(
        *TABLE, ((140, -25, 25), (0, 1, 0), 0, NONE), ((160, -25, 25), (0, 1, 0), 1, NONE), ((0, 0, 25), (1, 0, 0), 2, NONE)
    )
    assert wide.full and wide.condition < locating_state(near.at, near.normal, *mass).condition


def test_a_round_bar_may_spin_about_its_axis_but_not_slide_free() -> None:
    rows = [((x, 0, 0), (0, 0, 1), EXACT, NONE) for x in (20, 280)] + [((x, -20, 20), (0, 1, 0), 0, NONE) for x in (20, 280)]
    bar = part(*rows, ((0, 0, 20), (1, 0, 0), 1, NONE))
    mass, axis = (np.array([150.0, 0, 20]), 88.0), Axis(np.array([0.0, 0, 20]), np.array([1.0, 0, 0]))
    assert locating_state(bar.at, bar.normal, *mass).rank == 5 and not locating_state(bar.at, bar.normal, *mass).full
    spinning = locating_state(bar.at, bar.normal, *mass, spin=axis)
    assert spinning.full and spinning.condition < 5
    loose = part(*rows)
    assert not locating_state(loose.at, loose.normal, *mass, spin=axis).full


def test_the_six_best_rows_may_condition_better_than_all() -> None:
    # Six rows at unit spread and sixty more that all say the same thing.
    mass = (np.zeros(3), 100.0)
    at = [(100, 0, 0), (-100, 0, 0), (0, 100, 0), (0, -100, 0), (0, 0, 100), (0, 0, -100)]
    normal = [(0, 1, 0), (0, 1, 0), (0, 0, 1), (0, 0, 1), (1, 0, 0), (1, 0, 0)]
    best = locating_state(np.array(at, dtype=float), np.array(normal, dtype=float), *mass)
    many_at, many_normal = (
        np.array(at + [(100, k, 0) for k in range(60)], dtype=float),
        np.array(normal + [(0, 1, 0)] * 60, dtype=float),
    )
    assert best.condition == pytest.approx(1.0)
    assert locating_state(many_at, many_normal, *mass).condition == pytest.approx(1.0)


def test_greedy_choice_is_never_better_than_the_truth_and_close_to_it() -> None:
    rng = np.random.default_rng(0)
    for _ in range(5):
        rows = rng.normal(size=(20, 6))  # 38 760 choices: beyond the exhaustive limit
        stack = rows[np.array(list(combinations(range(20), 6)))]
        truth = float(np.linalg.cond(stack).min())
        assert truth - 1e-9 <= _best_subset(rows) <= 2.0 * truth


def test_errors_of_the_carrying_part_reach_the_part_on_it() -> None:
    bar, lug = motions([BAR, LUG], 5)
    top = (150.0, 0.0, 140.0)
    errors = np.array([0.05, 0.05, 0.05, 0.02, 0.02])
    # Along x only the lug's own stops count (equal errors, on both sides of the point): hand calculation 0.5 each.
    along_x = point_deviation(lug, top, (1, 0, 0), errors)
    assert along_x.shares_mm[3:] == pytest.approx([0.01, 0.01]) and along_x.worst_mm == pytest.approx(0.02)
    # The table is flat, so nothing lifts the lug.
    assert point_deviation(lug, top, (0, 0, 1), errors).worst_mm == pytest.approx(0, abs=1e-12)
    assert point_deviation(bar, (150.0, 0, 50), (0, 1, 0), errors).worst_mm == pytest.approx(0.05)


def test_a_tolerance_relative_to_a_part_takes_the_difference_first() -> None:
    # Stop 0 pushes bar and lug alike: relative to the bar at stop 0's place its influence cancels.
    bar, lug = motions([BAR, LUG], 5)
    errors = np.array([0.1, 0.0, 0.0, 0.0, 0.0])
    at_stop = (50.0, 0.0, 60.0)
    assert point_deviation(bar, at_stop, (0, 1, 0), errors).worst_mm == pytest.approx(0.1)
    assert point_deviation(lug, at_stop, (0, 1, 0), errors).worst_mm == pytest.approx(0.1)
    assert point_deviation(lug, at_stop, (0, 1, 0), errors, relative_to=bar).worst_mm == pytest.approx(0, abs=1e-12)


def test_a_riser_under_the_carrying_part_lifts_both() -> None:
    rests = [((0, -25, 0), (0, 0, 1), 0, NONE), ((0, 25, 0), (0, 0, 1), 0, NONE), ((300, 0, 0), (0, 0, 1), 1, NONE)]
    sides = [((50, -25, 25), (0, 1, 0), 2, NONE), ((250, -25, 25), (0, 1, 0), 3, NONE), ((0, 0, 25), (1, 0, 0), 4, NONE)]
    bar = part(*rests, *sides)
    lug = part(
        *ON_BAR, ((140, -20, 60), (1, 0, 0), 5, NONE), ((140, 20, 60), (1, 0, 0), 6, NONE), ((150, -20, 60), (0, 1, 0), 7, NONE)
    )
    _, moved = motions([bar, lug], 8)
    # Source 1 lifts x = 300 by 1: the middle rises by half (hand calculation).
    assert moved.at(np.array([150.0, 0, 50]))[2, 1] == pytest.approx(0.5)
    assert moved.at(np.array([150.0, 0, 50]))[2, 0] == pytest.approx(0.5)


def test_locators_come_first_and_table_corners_settle_the_rest() -> None:
    # A rest 1 mm high under a bar that also touches the table's face on that side: the rest wins, the table gives way.
    bar = part(*TABLE, ((150, 0, 0), (0, 0, 1), 0, NONE), ((50, -25, 25), (0, 1, 0), 1, NONE), ((0, 0, 25), (1, 0, 0), 2, NONE))
    (moved,) = motions([bar], 3)
    assert moved.at(np.array([150.0, 0, 0]))[2, 0] == pytest.approx(1.0)


def test_a_part_must_come_after_its_carrier() -> None:
    with pytest.raises(ValueError, match="part 0 rests on part 0, which is not placed before it"):
        motions([LUG, BAR], 5)
    motions([BAR, LUG], 5)


def test_repeatabilities_along_a_stack_add() -> None:
    assert source_error_mm([0.05, 0.03, 0.02]) == pytest.approx(0.10)
    assert source_error_mm([0.05], residual_mm=-0.2, play_mm=0.0175) == pytest.approx(0.2675)
