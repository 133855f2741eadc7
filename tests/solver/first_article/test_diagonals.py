"""Diagonals of frames: where four outer corners of a closed ring can be reached."""

from __future__ import annotations

from math import hypot

import numpy as np
import pytest

from inventory.shapes import Array
from solver.first_article.diagonals import diagonals
from solver.first_article.measures import ArticleMeasure
from solver.weldment import Weldment
from tests import builders as b
from tests.outside import rings
from tests.solver.first_article.fixtures_by_hand import finished, frame, lying, on_side, post_on_plate, tee


def told(weldment: Weldment, place: Array | None = None) -> list[ArticleMeasure]:
    return list(diagonals(finished(weldment, place), "B"))


def test_two_diagonals_and_their_difference() -> None:
    first, second, apart = told(frame(800, 500))
    assert [first.nominal_mm, second.nominal_mm] == pytest.approx([hypot(800, 500)] * 2, abs=1e-3)
    assert (apart.kind, apart.nominal_mm, len(apart.points)) == ("diagonal_difference", 0, 4)
    assert first.words == "diagonal, from the near left corner of rail-1 to the far right corner of rail-2"
    assert second.words == "diagonal, from the near right corner of rail-1 to the far left corner of rail-2"


def test_the_difference_is_that_of_the_shorter_side_leaning_by_its_tolerance() -> None:
    # 500 mm lean by 9 mm per m: 4.5 mm; 2 x 4.5 x 800 / 943.4 = 7.63 mm.
    assert told(frame(800, 500))[2].plus_minus_mm == pytest.approx(7.63, abs=0.01)


def test_a_mitred_frame_has_diagonals_over_its_tips() -> None:
    first, second, _ = told(rings.frame(400, 320))
    assert [first.nominal_mm, second.nominal_mm] == pytest.approx([hypot(450, 370)] * 2, abs=1e-3)
    assert len(first.parts) == len(second.parts) == 2


def test_corners_are_named_as_the_frame_lies() -> None:
    assert told(frame(), lying(90))[0].points[0].words == "the near right corner of rail-1"
    assert told(frame(), on_side())[0].points[0].words == "the lower near corner of rail-1"


def test_parts_that_close_no_ring_have_none() -> None:
    assert told(tee()) == [] and told(post_on_plate()) == []


def test_a_plate_that_sticks_out_changes_nothing() -> None:
    whole = frame()
    foot = b.plate("foot", (100, 100), 8, (-20, 0, -8))
    more = b.weldment(
        *whole.parts, foot,
        welds=[*whole.welds, b.fillet("f1", ("rail-1", "foot"), (0, 0, 0), (50, 0, 0)), b.fillet("f2", ("cross-1", "foot"), (0, 50, 0), (50, 50, 0))],
    )  # fmt: skip
    assert [one.nominal_mm for one in told(more)] == [one.nominal_mm for one in told(whole)]


def test_a_tape_goes_below_what_stands_on_the_frame() -> None:
    whole = frame()
    box = b.tube("box", length=300, at=(250, 250, 75))
    found = told(b.weldment(*whole.parts, box, welds=whole.welds))
    assert {point.weldment_mm[2] for one in found for point in one.points} == {6.0}
    under = b.tube("under", length=300, at=(250, 250, -25))
    assert told(b.weldment(*whole.parts, box, under, welds=whole.welds)) == []


def test_a_covered_corner_cannot_be_reached() -> None:
    whole = frame()
    block = b.tube("block", length=100, at=(-25, -50, 25), along=b.Y)
    assert told(b.weldment(*whole.parts, block, welds=whole.welds)) == []


def test_without_motions_nothing_is_predicted() -> None:
    known = finished(frame())
    assert all(one.worst_mm is None for one in diagonals(type(known)(known.scene, ()), "B"))
    assert np.isfinite([one.nominal_mm for one in diagonals(known, "B")]).all()
