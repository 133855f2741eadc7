"""Tolerances asked for, as a fitter reads them: from a face of the other part, or from the table."""

from __future__ import annotations

import pytest

from inventory.shapes import Point3
from solver.first_article.asked import asked_tolerances
from solver.first_article.measures import ArticleMeasure
from solver.weldment import Tolerance, Weldment
from tests import builders as b
from tests.solver.first_article.fixtures_by_hand import finished, frame, tee


def told(weldment: Weldment, part: str, point: Point3, direction: Point3, to: str | None) -> ArticleMeasure:
    asked = b.weldment(*weldment.parts, welds=weldment.welds, tolerances=(Tolerance(part, point, direction, 0.8, to),))
    (found,) = asked_tolerances(finished(asked))
    return found


def test_a_point_between_both_ends_is_measured_from_the_nearer_one() -> None:
    found = told(tee(), "leg", (250, 325, 25), (1, 0, 0), "header")
    assert found.words == "from the left end of header to the point asked for on the far end of leg"
    assert (found.nominal_mm, found.plus_minus_mm, found.tolerance_source) == (250, 0.8, "as asked")
    assert found.points[1].weldment_mm == (250, 325, 25)


def test_a_point_on_a_side_is_measured_from_the_end_that_looks_the_same_way() -> None:
    found = told(tee(at=350), "leg", (325, 200, 25), (1, 0, 0), "header")
    assert (found.points[0].words, found.nominal_mm) == ("the left end of header", 325)


def test_a_point_on_the_outside_is_measured_over_all() -> None:
    found = told(frame(), "rail-2", (0, 500, 25), (0, 1, 0), "rail-1")
    assert (found.words, found.nominal_mm) == (
        "from the near side of rail-1 to the point asked for on the far side of rail-2", 500,
    )  # fmt: skip


def test_the_far_edge_is_named_rather_than_the_underside() -> None:
    assert told(b.tab_on_tube(), "tab", (250, 65, 50), (1, 0, 0), "tube").points[1].words.endswith("the far edge of tab")


@pytest.mark.parametrize(
    ("direction", "words", "nominal"),
    [
        ((1, 0, 0), "the left edge of the table", 650),
        ((0, -1, 0), "the near edge of the table", 625),
        ((0, 0, 1), "the top of the table", 25),
        ((0.6, 0.8, 0), "the outermost corner of the table", 0.6 * 650 + 0.8 * 625),
    ],
)
def test_what_is_relative_to_nothing_is_measured_from_the_table(direction: Point3, words: str, nominal: float) -> None:
    found = told(tee(), "leg", (250, 325, 25), direction, None)
    assert (found.points[0].part, found.points[0].words) == ("table", words)
    assert found.nominal_mm == pytest.approx(nominal)


def test_where_no_face_looks_along_the_direction_a_corner_is_measured_from() -> None:
    found = told(tee(), "leg", (250, 325, 25), (0.6, 0.8, 0), "header")
    assert found.points[0].words == "the outermost corner of header"
    assert found.nominal_mm == pytest.approx(0.6 * 250 + 0.8 * 350)


def test_a_point_inside_its_part_is_named_by_the_part() -> None:
    assert told(tee(), "leg", (250, 200, 25), (1, 0, 0), "header").points[1].words == "the point asked for of leg"


def test_a_part_that_located_in_a_circle_has_its_tolerance_but_no_prediction() -> None:
    weldment = tee()
    asked = b.weldment(*weldment.parts, welds=weldment.welds, tolerances=(Tolerance("leg", (250, 325, 25), (1, 0, 0), 0.8),))
    known = finished(asked)
    (found,) = asked_tolerances(type(known)(known.scene, ()))
    assert (found.nominal_mm, found.worst_mm) == (650, None)
