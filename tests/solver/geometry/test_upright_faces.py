"""Lengths of upright faces by hand: what counts as one face, and from where to where."""

from __future__ import annotations

import math

import pytest

from solver.geometry.faces import faces_of
from solver.geometry.upright_faces import level_lengths
from solver.sections import Section
from solver.weldment import Part, Pose
from tests import builders as b


def lengths(part: Part) -> dict[str, float]:
    return dict(level_lengths(faces_of(0, part, part.pose.frame()), part.section.outside_radius))


def test_a_lying_tube_is_as_long_as_it_is_and_its_ends_as_wide_with_their_corners_sharp() -> None:
    assert lengths(b.tube("t", 50, 3, 500)) == pytest.approx({"start": 50, "end": 50, "side:0": 500, "side:2": 500})


def test_a_standing_tubes_sides_reach_over_its_rounded_corners() -> None:
    post = Part("p", Section("rect_tube", width=60, height=40, wall=3), 200, Pose((0, 0, 0), b.Z, b.Y))
    found = lengths(post)
    assert sorted(found) == ["side:0", "side:1", "side:2", "side:3"]
    assert sorted(found.values()) == pytest.approx([40, 40, 60, 60])


def test_the_pieces_of_one_edge_count_together_and_a_notch_by_itself() -> None:
    notched = b.outline_plate("n", ((0, 0), (200, 0), (200, 100), (140, 100), (140, 60), (60, 60), (60, 100), (0, 100)))
    found = lengths(notched)
    assert found["side:2"] == found["side:6"] == pytest.approx(200)
    assert found["side:4"] == pytest.approx(80)
    assert found["side:3"] == found["side:5"] == pytest.approx(40)


def test_the_inside_of_a_hole_is_no_outer_face() -> None:
    outline, hole = ((0, 0), (100, 0), (100, 80), (0, 80)), ((20, 20), (20, 60), (80, 60), (80, 20))
    section = Section("plate", plate_outline=outline, plate_cutouts=(hole,))
    assert not any(label.startswith("cutout") for label in lengths(Part("h", section, 8, Pose((0, 0, 0), b.Z, b.Y))))


def test_a_face_that_rises_is_as_long_as_it_is_level() -> None:
    """A flat bar 300 long on edge, rising by 30 degrees: 300 cos 30 + 40 sin 30 along its upright broad sides."""
    turn = math.radians(30)
    rising = b.bar("r", 40, 10, 300, along=(math.cos(turn), 0.0, math.sin(turn)))
    on_edge = Part("r", rising.section, 300, Pose((0, 0, 0), rising.pose.along, b.Y))
    assert max(lengths(on_edge).values()) == pytest.approx(300 * math.cos(turn) + 40 * math.sin(turn))
