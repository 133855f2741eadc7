"""Displacements and turns of parts under each locator's error: those by which a plan's locating error is judged."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from inventory.shapes import Array
from solver.accuracy import Motion
from solver.checks.rules.locating_error import displaced, part_motions
from solver.first_article.prediction import both_readings, displacements, turns, worst_and_rss
from solver.plans import PartContact
from tests.solver.checks import frame_job

POINTS, ALONG = np.array([[200.0, 150, 25], [585, 505, 0]]), np.array([0.6, 0.8, 0.0])


def test_read_with_all_rows_together_displacements_are_those_of_the_check() -> None:
    scene = frame_job.scene()
    motions = part_motions(scene)
    assert motions is not None
    for part in scene.parts:
        checked = np.abs([displaced(scene, motions, part, point, ALONG) for point in POINTS])
        found = np.abs(displacements(both_readings(scene)[1:], part, POINTS, ALONG)[0])
        assert np.sort(found, axis=1) == pytest.approx(np.sort(checked, axis=1), abs=1e-9)


def test_a_turn_is_what_two_points_move_apart_over_their_distance() -> None:
    readings = both_readings(frame_job.scene())
    ends = displacements(readings, "2", np.array([[0.0, 0, 0], [100, 0, 0]]), np.array([0.0, 1, 0]))
    assert turns(readings, "2", np.array([0.0, 0, 1])) == pytest.approx((ends[:, 1] - ends[:, 0]) / 100, abs=1e-12)


def test_each_point_moves_as_its_part_does() -> None:
    shift: Array = np.array([[0.1], [0.0], [0.0], [0.0], [0.0], [0.01]])
    reading = {"bar": Motion(np.zeros(3), shift)}
    found = displacements([reading], "bar", np.array([[0.0, 50, 0], [100, 0, 0]]), np.array([1.0, 0, 0]))
    assert found[0, :, 0] == pytest.approx([0.1 - 0.5, 0.1])


def test_the_worse_reading_counts() -> None:
    assert worst_and_rss(np.array([[0.3, -0.4], [0.1, 0.1]])) == pytest.approx((0.7, 0.5))
    assert worst_and_rss(np.array([[0.1, 0.1], [0.3, -0.4]])) == pytest.approx((0.7, 0.5))
    assert worst_and_rss(np.zeros((2, 0))) == (0.0, 0.0)
    assert worst_and_rss(np.zeros((0, 0))) == (None, None)


def test_parts_that_rest_on_each_other_have_no_reading() -> None:
    scene = frame_job.scene()
    contact = scene.answer.part_contacts[0]
    circle = (contact, PartContact(contact.on, contact.part, contact.patch, contact.normal))
    alone = frame_job.scene([piece for piece in frame_job.pieces() if piece.id != "l1"])
    assert both_readings(replace(alone, answer=replace(alone.answer, part_contacts=circle))) == ()
