"""What of a finished weldment tape and square can reach."""

from __future__ import annotations

import numpy as np
import pytest

from solver.sections import Section
from solver.weldment import Part, Pose
from tests import builders as b
from tests.solver.first_article.fixtures_by_hand import finished, lying, tee

RIGHT, AWAY, UP = np.eye(3)


def test_a_face_that_another_part_covers_cannot_be_reached() -> None:
    weldment = finished(tee())
    assert weldment.looking("leg", -AWAY) == ()
    assert [face.words for face in weldment.looking("leg", AWAY)] == ["the far end of leg"]


def test_of_a_face_that_is_covered_in_part_the_bare_part_is_left() -> None:
    weldment = finished(tee())
    (side,) = weldment.looking("header", AWAY)
    away = side.spots[:, 0] - 400
    assert len(side.spots) and not ((away > 225) & (away < 275)).any()


def test_spots_lie_beside_the_beads_at_the_edges() -> None:
    (top,) = finished(tee()).looking("header", UP)
    assert float(top.spots[:, 0].min()) == pytest.approx(408)


def test_nothing_is_read_inside_a_tube() -> None:
    lid = b.plate("lid", (80, 80), 8, (-40, -40, 200))
    weldment = finished(b.weldment(b.tube("post", length=200, at=(0, 0, 0), along=b.Z), lid))
    assert weldment.looking("post", UP) == ()
    assert len(weldment.free("lid", -UP, np.array([[400.0, 300, 200]]))) == 1
    assert not weldment.free("lid", -UP, np.array([[400.0, 300, 200]]))[0]


def test_a_round_tube_is_met_along_the_line_that_looks_there() -> None:
    round_tube = Part("tube", Section("round_tube", diameter=60, wall=3), 400, Pose((0, 0, 30), b.X, b.Z))
    weldment = finished(b.weldment(round_tube))
    (line,) = weldment.looking("tube", AWAY)
    assert line.words == "the far side of tube" and line.height == pytest.approx(330)
    assert line.extent(RIGHT) == pytest.approx(400)
    assert line.holds(np.array([[500.0, 330, 30], [500, 330, 31], [850, 330, 30]])).tolist() == [True, False, False]


def test_the_outermost_of_several_edges_comes_first() -> None:
    steps = b.outline_plate("lug", ((0, 0), (90, 0), (90, 30), (60, 30), (60, 70), (0, 70)))
    edges = finished(b.weldment(steps)).looking("lug", RIGHT)
    assert [edge.words for edge in edges] == ["the right edge of lug", "the inner right edge of lug"]


def test_a_point_is_told_in_both_frames() -> None:
    point = finished(tee(), lying(90)).point("leg", "somewhere", np.array([375.0, 550, 25]))
    assert point.table_mm == (375, 550, 25) and point.weldment_mm == (250, 25, 25)
