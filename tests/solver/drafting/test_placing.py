"""A part placed on another as a fitter says it: on top, flush with the side, so far from the end."""

from __future__ import annotations

from dataclasses import replace
from random import Random

import numpy as np
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from inventory.errors import InvalidDocument
from solver.drafting import Offset, Placing, described, described_by, face, first_pose, placed_on
from solver.laying.fit import fit_faults
from solver.sections import Section
from solver.weldment import Part, Pose
from tests import builders as b
from tests.solver.drafting.drawn_at_random import a_part, a_placing

POST = b.tube("post", width=50, wall=3, length=600)
LUG = b.plate("lug", (90, 60), 8)
CENTRED = Offset()


def on_post(part: Part, face: str, **more: object) -> Part:
    placing = Placing(face, "post", **{"on_face": "side:1", **more})  # type: ignore[arg-type]
    return replace(part, pose=placed_on(part, POST, placing))


def test_a_lug_lies_on_the_post_180_from_its_left_end_and_out_over_its_far_side_by_13() -> None:
    """The hinge post of the shop: the lug's corner at (180, -22, 50)."""
    lug = on_post(LUG, "start", along=Offset("low", "low", 180), across=Offset("high", "high", -13))
    assert lug.pose == Pose((180, -22, 50), (0, 0, 1), (0, 1, 0))


def test_distances_from_an_edge_are_measured_inwards_from_either() -> None:
    left, right = (on_post(LUG, "start", along=Offset(edge, edge, 20)) for edge in ("low", "high"))
    assert (left.pose.at[0], right.pose.at[0] + 90) == (20, 580)
    assert on_post(LUG, "start", along=Offset("middle", "low", 20)).pose.at[0] == 320
    assert on_post(LUG, "start", along=Offset("low", "high", 0)).pose.at[0] == -90


def test_centred_it_stands_in_the_middle() -> None:
    assert on_post(LUG, "start").pose.at == (255, -30, 50)


def test_turned_by_a_quarter_its_long_side_runs_across() -> None:
    lug = on_post(LUG, "start", turn=90, along=Offset("low", "low", 100))
    assert np.ptp([corner[0] for corner in face(lug, "start").outline]) == 60
    assert min(corner[0] for corner in face(lug, "start").outline) == 100
    assert face(lug, "start").along == (0, 1, 0)


@pytest.mark.parametrize("turn", [0, 17.3, 45, 90, 123.456, 270])
def test_whatever_the_turn_its_nearest_corner_is_so_far_from_the_end(turn: float) -> None:
    lug = on_post(LUG, "start", turn=turn, along=Offset("low", "low", 100), across=Offset("low", "low", -5))
    corners = np.array(face(lug, "start").outline)
    assert corners[:, 0].min() == pytest.approx(100, abs=1e-6)
    assert corners[:, 1].min() == pytest.approx(-30, abs=1e-6)
    assert np.allclose(corners[:, 2], 50, atol=1e-6)


def test_a_cross_tube_stands_with_its_end_against_the_side_of_a_rail_both_undersides_level() -> None:
    cross = on_post(b.tube("cross", width=40, wall=3), "start", on_face="side:0", across=Offset("high", "high", 0), turn=90)
    assert np.array(cross.drawn.frame)[:3, 2].tolist() == [0, 1, 0]
    assert face(cross, "start").centre == (300, 25, 20)
    assert min(corner[2] for corner in face(cross, "start").outline) == 0


def test_a_pipe_lies_on_a_face_along_a_line_of_its_mantle() -> None:
    section = Section("round_tube", diameter=48.3, wall=3)
    pipe = on_post(Part("pipe", section, 200, first_pose(section)), "side:0-v", along=Offset("low", "low", 0))
    assert pipe.pose.at == (0, 0, 74.15)
    assert pipe.pose.along == (1, 0, 0)


def test_a_gap_keeps_it_off_the_face() -> None:
    assert on_post(LUG, "start", gap_mm=2).pose.at[2] == 52


def test_flush_faces_look_the_same_way_and_lie_in_one_plane() -> None:
    """A tab beside the tube, its top level with the tube's."""
    tab = on_post(LUG, "end", flush=True, across=Offset("high", "low", 0), along=Offset("low", "low", 0))
    assert face(tab, "end").normal == (0, 0, 1)
    assert face(tab, "end").centre == (45, 55, 50)


def test_it_does_not_matter_where_the_part_was() -> None:
    placing = Placing("side:2", "post", "side:1", 30, Offset("low", "middle", 40), Offset("high", "high"))
    elsewhere = replace(LUG, pose=Pose((500, 3, -7), (1, 2, 3), (0, 1, 0)))
    assert placed_on(LUG, POST, placing) == placed_on(elsewhere, POST, placing)


def test_numbers_are_as_somebody_would_write_them() -> None:
    turned = replace(POST, pose=Pose((0, 0, 25), (1, 1, 0), (0, 0, 1)))
    pose = placed_on(LUG, turned, Placing("start", "post", "side:1"))
    assert all(str(value) != "-0.0" for value in (*pose.at, *pose.along, *pose.up))
    assert all(value == round(value, 9) for value in pose.at)
    assert pose.along == (0, 0, 1)


@pytest.mark.parametrize(
    ("faulty", "pointer"),
    [
        (lambda: Offset("left", "low"), "/from_edge"),  # type: ignore[arg-type]
        (lambda: Offset("low", "low", float("nan")), "/distance_mm"),
        (lambda: Placing("start", "post", "end", 360), "/turn"), (lambda: Placing("start", "post", "end", gap_mm=1e9), "/gap_mm"),
    ],
)  # fmt: skip
def test_what_makes_no_sense_is_refused_at_its_field(faulty: object, pointer: str) -> None:
    with pytest.raises(InvalidDocument) as refused:
        faulty()  # type: ignore[operator]
    assert [fault.pointer for fault in refused.value.faults] == [pointer]


def test_a_face_that_is_not_there_and_a_place_off_the_map_are_refused() -> None:
    with pytest.raises(KeyError):
        placed_on(LUG, POST, Placing("side:9", "post", "side:1"))
    with pytest.raises(InvalidDocument):
        placed_on(LUG, replace(POST, pose=Pose((20000, 0, 0), (1, 0, 0), (0, 0, 1))), Placing("start", "post", "side:1"))


# --- the first part ---------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("lying", ["flat", "edge", "upright"])
@pytest.mark.parametrize("section", [
    POST.section, Section("rect_tube", width=60, height=40, wall=3), Section("angle", leg_a=60, leg_b=40, thickness=5),
    Section("channel", height=80, flange=45, web=6, flange_thickness=8), Section("round_bar", diameter=16),
    Section("plate", plate_outline=((-20, 10), (60, 10), (60, 90), (-20, 50))),
])  # fmt: skip
def test_the_first_part_lies_on_the_ground_and_starts_at_the_left(section: Section, lying: object) -> None:
    plate = section.shape == "plate"
    part = Part("first", section, 8 if plate else 200, first_pose(section, lying))  # type: ignore[arg-type]
    corners = np.array([corner for one in ("start", "end") for corner in face(part, one).outline])
    assert corners[:, 2].min() == pytest.approx(0, abs=1e-9)
    if plate or lying != "upright":
        assert corners[:, 0].min() == pytest.approx(0, abs=1e-9)


def test_a_profile_first_lies_along_x_and_a_plate_on_its_face() -> None:
    assert first_pose(POST.section) == Pose((0, 0, 25), (1, 0, 0), (0, 0, 1))
    assert first_pose(LUG.section) == Pose((0, 0, 0), (0, 0, 1), (0, 1, 0))
    assert first_pose(Section("angle", leg_a=60, leg_b=60, thickness=6)) == Pose((0, 0, 0), (1, 0, 0), (0, 0, 1))
    assert first_pose(POST.section, "upright").along == (0, 0, 1)


# --- a pose told as a placing -----------------------------------------------------------------------------------------


def test_the_hinge_lug_is_told_as_lying_on_top_180_from_the_left_end() -> None:
    lug = replace(LUG, pose=Pose((180, -22, 50), (0, 0, 1), (0, 1, 0)))
    told = described(lug, POST)
    assert told[0] == Placing("start", "post", "side:1", 0, Offset("low", "low", 180), Offset("low", "low", 3))


def test_what_is_flush_or_centred_is_told_so() -> None:
    lug = on_post(LUG, "start", along=Offset("high", "high"), across=Offset())
    told = described(lug, POST)[0]
    assert (told.along, told.across) == (Offset("high", "high"), Offset("middle", "middle"))


def test_a_part_off_its_neighbour_is_told_with_its_gap_and_a_touching_face_comes_first() -> None:
    lug = on_post(LUG, "start", gap_mm=12)
    assert described(lug, POST)[0].gap_mm == 12
    beside = b.tube("beside", at=(0, 50, 25), length=600)
    told = described(beside, POST)
    assert (told[0].part_face, told[0].on_face, told[0].gap_mm) == ("side:2", "side:0", 0)
    assert {(one.part_face, one.on_face) for one in told if one.flush} >= {("side:1", "side:1"), ("start", "start")}


def test_a_part_at_an_odd_angle_to_all_faces_is_not_told() -> None:
    askew = replace(LUG, pose=Pose((180, -22, 90), (1, 2, 3), (0, 1, 0)))
    assert described(askew, POST) == ()
    assert described_by(askew, POST, "start", "side:1") is None
    assert described_by(replace(LUG, pose=Pose((0, 0, 80), (0, 0, 1), (0, 1, 0))), POST, "side:0", "side:1") is None


@given(st.randoms(use_true_random=False))
@settings(max_examples=60, deadline=None, suppress_health_check=[HealthCheck.too_slow])
def test_a_placing_is_told_as_it_was_given(draw: Random) -> None:
    """What is told gives the same pose, face against face to 1e-6 mm, whatever the parts and however the first one lies."""
    pose = Pose((draw.uniform(-900, 900), 3, 7), (draw.uniform(-1, 1), 0.3, 0.7), (1, draw.uniform(-1, 1), 0))
    target = replace(a_part(draw, "p1"), pose=pose)
    part = a_part(draw, "p2")
    placing = a_placing(draw, part, target)
    placed = replace(part, pose=placed_on(part, target, placing))
    own, on = face(placed, placing.part_face), face(target, placing.on_face)
    assert np.allclose(own.normal, np.multiply(1 if placing.flush else -1, on.normal), atol=1e-8)
    assert abs(np.dot(np.subtract(own.centre, on.centre), on.normal)) < 1e-6
    told = described_by(placed, target, placing.part_face, placing.on_face)
    assert told is not None
    again = placed_on(part, target, told)
    assert np.abs(again.frame() - placed.pose.frame()).max() < 1e-6
    assert described(placed, target)


def test_parts_that_are_placed_face_to_face_touch_and_do_not_overlap() -> None:
    lug = on_post(LUG, "side:0", turn=90)
    assert list(fit_faults([POST, lug], [], 0.0)) == []
