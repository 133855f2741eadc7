"""Displacements and turns of parts under each locator's error: those by which a plan's locating error is judged."""

from __future__ import annotations

import numpy as np
import pytest

from solver.checks.rules.locating_error import displaced, part_motions
from solver.first_article.prediction import displacements, turns, worst_and_rss
from tests.solver.checks import frame_job


def test_displacements_are_those_of_the_check() -> None:
    scene = frame_job.scene()
    motions = part_motions(scene)
    assert motions is not None
    points, along = np.array([[200.0, 150, 25], [585, 505, 0]]), np.array([0.6, 0.8, 0.0])
    for part in scene.parts:
        found = displacements(scene, motions, part, points, along)
        assert found == pytest.approx(np.array([displaced(scene, motions, part, point, along) for point in points]))


def test_a_turn_is_what_two_points_move_apart_over_their_distance() -> None:
    scene = frame_job.scene()
    motions = part_motions(scene)
    assert motions is not None
    ends = displacements(scene, motions, "2", np.array([[0.0, 0, 0], [100, 0, 0]]), np.array([0.0, 1, 0]))
    assert turns(scene, motions, "2", np.array([0.0, 0, 1])) == pytest.approx((ends[1] - ends[0]) / 100, abs=1e-12)


def test_the_worst_case_adds_up_what_the_squares_add_under_the_root() -> None:
    assert worst_and_rss(np.array([0.3, -0.4])) == pytest.approx((0.7, 0.5))
    assert worst_and_rss(np.zeros(0)) == (0.0, 0.0)
    assert worst_and_rss(None) == (None, None)
