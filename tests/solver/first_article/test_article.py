"""The whole first-article check: what comes first, the same whatever the lie, the prediction by which the plan was judged."""

from __future__ import annotations

from collections import Counter
from dataclasses import replace
from random import Random

import pytest

from inventory.shapes import Array
from solver.checks import check_alternative
from solver.checks.scene.reading import read_alternative
from solver.deadline import Deadline
from solver.first_article import first_article
from solver.planning import plan
from solver.weldment import Tolerance, Weldment
from tests import builders as b
from tests.properties.weldments import a_weldment
from tests.solver.checks import frame_job, tab_job
from tests.solver.first_article.fixtures_by_hand import (
    STOCK,
    alternative,
    frame,
    lying,
    measures,
    of_kind,
    on_side,
    post_on_plate,
    tee,
)

ORDER = ("asked", "overall", "diagonal", "diagonal_difference", "squareness", "position")


def test_the_telling_ones_come_first_and_each_part_once_before_any_twice() -> None:
    found = measures(frame())
    kinds = [one.kind for one in found]
    assert Counter(kinds) == {"overall": 2, "diagonal": 2, "diagonal_difference": 1, "squareness": 4, "position": 4}
    assert kinds[:9] == sorted(kinds[:9], key=ORDER.index)
    assert {one.points[-1].part for one in found[5:7]} == {one.points[-1].part for one in found[7:9]} == {"cross-1", "cross-2"}


def test_two_parts_have_a_few() -> None:
    assert [one.kind for one in measures(tee())] == ["overall", "overall", "squareness", "position"]
    assert 3 <= len(measures(post_on_plate())) <= 6


def test_a_length_that_is_asked_for_is_not_told_twice() -> None:
    weldment = frame()
    asked = b.weldment(
        *weldment.parts, welds=weldment.welds, tolerances=(Tolerance("rail-2", (400, 500, 25), b.Y, 1.0, "rail-1"),)
    )
    found = measures(asked)
    assert (found[0].nominal_mm, found[0].plus_minus_mm) == (500, 1.0)
    assert [one.nominal_mm for one in of_kind("overall", found)] == [800]


@pytest.mark.parametrize("weldment", [tee(), frame(), post_on_plate(), b.tab_on_tube()], ids=["tee", "frame", "post", "tab"])
@pytest.mark.parametrize(
    "place", [lying(90), lying(180), lying(270, (500, 420, 30)), on_side()], ids=["90", "180", "270", "on side"]
)
def test_nominals_are_the_same_whatever_the_lie(weldment: Weldment, place: Array) -> None:
    part = weldment.parts[-1]
    tolerance = Tolerance(part.id, part.pose.at, (0.0, 1.0, 0.0), 1.0, weldment.parts[0].id)
    asked = replace(weldment, tolerances=(tolerance,))
    drawn, turned = (Counter((one.kind, one.nominal_mm) for one in measures(asked, lie)) for lie in (None, place))
    assert drawn == turned


@pytest.mark.parametrize("seed", range(12))
def test_nominals_of_any_weldment_are_the_same_whatever_the_lie(seed: int) -> None:
    weldment = replace(a_weldment(Random(seed), 2 + seed % 5), tolerances=())
    drawn, turned = (Counter((one.kind, one.nominal_mm) for one in measures(weldment, lying(turn))) for turn in (0, 90))
    assert drawn == turned and len(drawn) > 0


def test_a_tolerance_is_predicted_as_the_plan_was_judged() -> None:
    weldment = b.tab_on_tube()
    asked = (
        Tolerance("tab", (250, 65, 50), b.X, 1.0, "tube"),
        Tolerance("tab", (200, 65, 50), b.Y, 1.0),
        Tolerance("tube", (500, 0, 25), b.Y, 1.0),
    )
    request, stock = b.request(replace(weldment, tolerances=asked), alternatives=1), b.plain_shelf()
    (answer,) = plan(request, stock, deadline=Deadline(lambda: 600.0)).alternatives
    found = of_kind("asked", first_article(request, stock, answer))
    for rule, predicted in (("locate.tolerance_share", "worst_mm"), ("locate.root_sum_square", "rss_mm")):
        judged = [one.value for one in answer.findings if one.rule == rule]
        assert [round(getattr(one, predicted), 6) for one in found] == pytest.approx(judged, abs=2e-6)


def test_no_reading_is_better_than_the_checkers() -> None:
    answer = read_alternative(tab_job.tab_alternative())
    checked = [
        one.value or 0.0
        for one in check_alternative(tab_job.request(), tab_job.stock(), answer)
        if one.rule == "locate.tolerance_share"
    ]
    found = of_kind("asked", first_article(tab_job.request(), tab_job.stock(), answer))
    assert all((one.worst_mm or 0.0) >= value - 1e-6 for one, value in zip(found, checked, strict=True))


def test_parts_located_together_are_predicted_together() -> None:
    asked = frame_job.request(tolerances=(frame_job.tolerance(5.0),))
    found = first_article(asked, frame_job.STOCK, frame_job.scene(asked=asked).answer)
    assert all(one.worst_mm is not None and one.rss_mm is not None and one.rss_mm <= one.worst_mm for one in found)
    assert all((one.worst_mm or 0.0) > 0 for one in found if one.kind != "overall")


def test_parts_that_locate_each_other_in_a_circle_have_no_prediction() -> None:
    from solver.plans import PartContact

    patch = ((600.0, 325.0, 0.0), (650.0, 325.0, 0.0), (650.0, 325.0, 50.0), (600.0, 325.0, 50.0))
    circle = [PartContact("leg", "header", patch, (0, 1, 0)), PartContact("header", "leg", patch, (0, -1, 0))]
    found = measures(tee(), contacts=circle)
    assert found and all(one.worst_mm is None and one.rss_mm is None for one in found)


def test_of_equal_stations_the_first_is_measured() -> None:
    weldment = tee()
    first, second = (alternative(weldment, lying(at=(200 + 400 * k, 200, 0)), station=k + 1) for k in (0, 1))
    both = replace(first, stations=(*first.stations, *second.stations), parts=(*first.parts, *second.parts))
    asked = b.request(weldment, stations=2)
    assert first_article(asked, STOCK, both) == first_article(asked, STOCK, first)


def test_another_class_gives_other_tolerances() -> None:
    asked, answer = b.request(tee()), alternative(tee())
    usual, coarse = (first_article(asked, STOCK, answer, grade) for grade in ("B", "D"))
    assert all(fine.plus_minus_mm < wide.plus_minus_mm for fine, wide in zip(usual, coarse, strict=True))


def test_it_is_the_same_every_time() -> None:
    assert measures(frame()) == measures(frame())
