"""Overall sizes are those that saw or fixture decide, not those a section has by itself."""

from __future__ import annotations

from solver.first_article.overall import overall_sizes
from solver.weldment import Weldment
from tests import builders as b
from tests.solver.first_article.fixtures_by_hand import finished, frame, lying, post_on_plate, tee


def told(weldment: Weldment, turn: int = 0) -> dict[str, float]:
    return {one.words: one.nominal_mm for one in overall_sizes(finished(weldment, lying(turn)), "B")}


def test_two_ends_of_one_part_or_faces_of_two() -> None:
    assert told(tee()) == {
        "overall, from the left end of header to the right end of header": 600,
        "overall, from the near side of header to the far end of leg": 350,
    }


def test_words_go_with_the_lie_from_left_to_right_and_from_near_to_far() -> None:
    assert told(tee(), 90) == {
        "overall, from the near end of header to the far end of header": 600,
        "overall, from the left end of leg to the right side of header": 350,
    }


def test_a_plates_own_contour_and_a_tubes_own_height_are_none() -> None:
    assert told(post_on_plate()) == {"overall, from the underside of base to the upper end of post": 210}
    assert told(b.weldment(b.plate())) == {}


def test_a_frame_is_measured_over_both_its_rails() -> None:
    assert told(frame()) == {
        "overall, from the left end of rail-1 to the right end of rail-1": 800,
        "overall, from the near side of rail-1 to the far side of rail-2": 500,
    }
