"""Right angles between welded parts, read with a square over the shorter leg."""

from __future__ import annotations

import pytest

from solver.first_article.measures import ArticleMeasure
from solver.first_article.squareness import right_angles
from solver.weldment import Part, Pose, Weldment
from tests import builders as b
from tests.outside import rings
from tests.solver.first_article.fixtures_by_hand import finished, frame, post_on_plate, tee, upright_plate


def told(weldment: Weldment) -> list[ArticleMeasure]:
    return list(right_angles(finished(weldment), "B"))


def test_two_profiles_are_square_over_the_shorter_one() -> None:
    (found,) = told(tee(leg=300))
    assert found.words == "square between the far side of header and the right side of leg"
    assert (found.leg_mm, found.nominal_mm, found.plus_minus_deg) == (300, 0, 0.75)
    assert found.plus_minus_mm == pytest.approx(3.9) and found.tool == "square"


def test_the_square_stands_in_the_corner() -> None:
    (found,) = told(tee(leg=300, at=250))
    foot, blade = (point.weldment_mm for point in found.points)
    assert foot[1] == 25 and foot[0] == pytest.approx(275 + 10)
    assert blade[0] == 275 and 25 < blade[1] < 40


def test_legs_above_400_mm_have_half_a_degree() -> None:
    (found,) = told(tee(leg=500))
    assert found.plus_minus_deg == 0.5 and found.plus_minus_mm == pytest.approx(4.5)


def test_a_post_is_square_to_its_plate_both_ways() -> None:
    found = told(post_on_plate())
    assert [one.leg_mm for one in found] == [200, 200]
    assert {one.words for one in found} == {
        "square between the top of base and the left side of post", "square between the top of base and the far side of post",
    }  # fmt: skip


def test_a_plate_along_a_tube_is_square_to_it_by_an_edge() -> None:
    (found,) = told(b.tab_on_tube(overhang=60))
    assert found.words == "square between the far side of tube and the right edge of tab" and found.leg_mm == 100


def test_a_plate_across_a_tube_is_square_to_it_by_its_face() -> None:
    rib = upright_plate("rib", (60, 80), 8, (120, -30, 50))
    found = told(b.weldment(b.tube("rail"), rib, welds=[b.fillet("w", ("rail", "rib"), (120, -19, 50), (120, 19, 50))]))
    assert {(one.words.split(" and ")[1], one.leg_mm) for one in found} == {
        ("the right face of rib", 60),
        ("the right face of rib", 80),
    }


def test_two_plates_are_square_by_their_large_faces() -> None:
    wall = Part("wall", b.plate(size=(200, 120)).section, 10, Pose((50, 90, 10), (0, -1, 0), b.Z))
    base = b.plate("base", (300, 200), 10)
    (found,) = told(b.weldment(base, wall, welds=[b.fillet("w", ("base", "wall"), (60, 90, 10), (140, 90, 10))]))
    assert found.leg_mm == 120 and "of base" in found.words and "face of wall" in found.words


def test_a_leg_too_short_for_a_square_is_none() -> None:
    assert told(tee(leg=39)) == []


def test_a_mitred_corner_is_square_on_its_inside() -> None:
    found = told(rings.frame(400, 320))
    assert [one.leg_mm for one in found] == pytest.approx([270] * 4)


def test_each_pair_of_a_frame_is_square() -> None:
    assert len(told(frame())) == 4
