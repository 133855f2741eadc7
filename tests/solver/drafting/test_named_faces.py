"""The faces of parts as somebody picks them who draws: what they are called, where they lie, how long and wide they are."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from inventory.shapes import PlaneCut
from solver.drafting import NamedFace, face, faces, first_pose
from solver.sections import Section
from solver.weldment import Part, Pose
from tests import builders as b
from tests.solver.drafting.drawn_at_random import SECTIONS


def named(part: Part) -> dict[str, str]:
    return {face.key: face.words for face in faces(part)}


def lying(section: Section, length: float = 300) -> Part:
    return Part("part", section, length, first_pose(section))


def test_a_tube_along_x_has_two_ends_a_top_an_underside_and_two_sides() -> None:
    assert named(b.tube("post")) == {
        "start": "start, left (-x)", "end": "end, right (+x)", "side:0": "far side (+y)", "side:1": "top (+z)",
        "side:2": "near side (-y)", "side:3": "underside (-z)",
    }  # fmt: skip
    assert face(b.tube("post"), "side:1").title == "post: top (+z)"


def test_a_face_is_as_long_and_wide_as_a_rule_finds_it() -> None:
    """A tube's side is measured over its rounded corners, as a square laid on its other side finds it."""
    top = face(b.tube("post", width=50, wall=3, length=600), "side:1")
    assert (top.normal, top.centre, top.size) == ((0, 0, 1), (300, 0, 50), (600, 50))
    assert (top.along, top.across) == ((1, 0, 0), (0, 1, 0))
    assert (top.along_ends, top.across_ends) == (("left", "right"), ("near", "far"))
    assert sorted(top.outline) == [(0, -25, 50), (0, 25, 50), (600, -25, 50), (600, 25, 50)]


def test_a_level_plate_has_a_top_an_underside_and_edges() -> None:
    assert named(b.plate("lug", (90, 60), 8)) == {
        "start": "underside (-z)", "end": "top (+z)", "side:0": "near edge (-y)", "side:1": "right edge (+x)",
        "side:2": "far edge (+y)", "side:3": "left edge (-x)",
    }  # fmt: skip
    underside = face(b.plate("lug", (90, 60), 8), "start")
    assert (underside.along, underside.across, underside.size) == ((1, 0, 0), (0, -1, 0), (90, 60))


def test_an_upright_plate_has_a_near_and_a_far_face() -> None:
    section = Section("plate", plate_outline=((0, 0), (90, 0), (90, 60), (0, 60)))
    words = named(Part("rib", section, 8, first_pose(section, "edge")))
    assert (words["start"], words["end"]) == ("far face (+y)", "near face (-y)")
    assert (words["side:0"], words["side:2"]) == ("lower edge (-z)", "upper edge (+z)")


def test_sides_of_angles_and_channels_say_which_leg_and_which_side_of_it() -> None:
    angle = named(lying(Section("angle", leg_a=60, leg_b=40, thickness=6)))
    assert angle["side:0"] == "outside of leg a, underside (-z)"
    assert angle["side:2"] == "inside of leg a, top (+z)"
    assert angle["side:4"] == "edge of leg b, top (+z)"
    channel = named(lying(Section("channel", height=100, flange=50, web=6, flange_thickness=8)))
    assert channel["side:7"] == "back of web, near side (-y)"
    assert channel["side:5"] == "edge of flange b, far side (+y)"


def test_a_round_part_offers_four_lines_of_its_mantle() -> None:
    pipe = lying(Section("round_tube", diameter=48.3, wall=3))
    assert list(named(pipe)) == ["start", "end", "side:0+u", "side:0-u", "side:0+v", "side:0-v"]
    top = face(pipe, "side:0+v")
    assert (top.label, top.words, top.size) == ("side:0", "top (+z)", (300, 0))
    assert top.outline == ((0, 0, 48.3), (300, 0, 48.3))


def test_a_cut_end_looks_where_the_cut_looks() -> None:
    brace = replace(b.tube("brace", length=400), cuts=(PlaneCut((0, 0, 350), (1, 0, 1)),))
    cut = face(brace, "cut:0")
    assert cut.words == "cut 1, far right (+x+y)"
    assert cut.size == pytest.approx((50, 50 * np.sqrt(2)))
    assert "end" not in named(brace)
    assert face(brace, "side:0").size == pytest.approx((325, 50))


def test_of_faces_that_look_the_same_way_the_outermost_has_the_plain_name() -> None:
    notched = b.outline_plate("lug", ((0, 0), (100, 0), (100, 30), (70, 30), (70, 90), (0, 90)))
    words = named(notched)
    assert (words["side:4"], words["side:2"]) == ("far edge (+y)", "far edge (+y), 2nd in")
    fork = b.outline_plate("fork", ((0, 0), (90, 0), (90, 60), (60, 60), (60, 20), (30, 20), (30, 60), (0, 60)))
    words = named(fork)
    assert {words["side:2"], words["side:6"]} == {"far edge (+y), side:2", "far edge (+y), side:6"}
    assert words["side:4"] == "far edge (+y), 2nd in"


def test_faces_of_cutouts_are_named_only_if_asked_for() -> None:
    section = Section(
        "plate", plate_outline=((0, 0), (90, 0), (90, 60), (0, 60)), plate_cutouts=(((20, 20), (40, 20), (40, 40), (20, 40)),)
    )
    flange = Part("flange", section, 8, first_pose(section))
    assert not any(key.startswith("cutout") for key in named(flange))
    assert len([one for one in faces(flange, cutouts=True) if one.key.startswith("cutout:0:")]) == 4
    assert face(flange, "cutout:0:0").words == "in cut-out 1, far (+y)"


def test_a_face_that_is_not_there_is_a_key_error() -> None:
    with pytest.raises(KeyError):
        face(b.tube(), "side:7")


@pytest.mark.parametrize("section", SECTIONS, ids=lambda section: section.shape)
@pytest.mark.parametrize("pose", [Pose((10, 20, 30), (0.8, 0.6, 0), (0, 0, 1)), Pose((0, 0, 0), (1, 2, 2), (2, 1, -2))])
def test_every_face_looks_out_of_its_part_and_has_a_name_of_its_own(section: Section, pose: Pose) -> None:
    part = Part("part", section, 9 if section.shape == "plate" else 200, pose)
    found = faces(part, cutouts=True)
    assert len({one.words for one in found}) == len({one.key for one in found}) == len(found)
    assert {one.label for one in found} <= {*part.face_labels}
    for one in found:
        assert_square(one)
        assert np.allclose([np.dot(np.subtract(corner, one.centre), one.normal) for corner in one.outline], 0, atol=1e-6)


def assert_square(one: NamedFace) -> None:
    assert np.allclose(np.cross(one.normal, one.along), one.across, atol=1e-8)
    assert np.linalg.norm(one.normal) == pytest.approx(1) == np.linalg.norm(one.along)
