"""The drawing of measured over predicted times: a dot a report in its place, words that can be read, the same bytes every time."""

from __future__ import annotations

from itertools import combinations
from xml.etree import ElementTree

import pytest

from service.drawings.paper.marks import Disc, Group
from service.drawings.times.agreement_chart import ChartedTime, agreement_chart, picture
from solver.time_study.work import SetupWork, planned_seconds
from tests.solver.time_study.floor import PRESENT, measured_floor


def charted(reports: int, own: str = "p3") -> list[ChartedTime]:
    return [
        ChartedTime(
            each.number, "setup" if isinstance(each.work, SetupWork) else "cycle", planned_seconds(each.work, PRESENT),
            each.seconds, each.plan == own, each.number % 9 == 0,
        )
        for each in measured_floor(4, reports, 12, gross=0.1)
    ]  # fmt: skip


def dots(times: list[ChartedTime]) -> dict[str, Disc]:
    return {
        mark.id: mark.marks[0] for mark in picture(times).marks if isinstance(mark, Group) and isinstance(mark.marks[0], Disc)
    }


def test_a_dot_lies_on_the_line_if_the_time_was_what_was_predicted_above_if_it_took_longer() -> None:
    times = [ChartedTime(1, "setup", 600, 600), ChartedTime(2, "setup", 600, 900), ChartedTime(3, "setup", 600, 400)]
    there = dots(times)
    left, bottom = 18.0, 84.0
    across, up = (there["report-1"].centre[0] - left), (bottom - there["report-1"].centre[1])
    assert across == pytest.approx(up)
    heights = [there[f"report-{number}"].centre[1] for number in (2, 1, 3)]
    assert heights == sorted(heights)  # y grows downwards
    assert there["report-2"].centre[0] == there["report-3"].centre[0]


@pytest.mark.parametrize("reports", [0, 1, 60, 300])
def test_words_stand_on_the_paper_and_not_on_each_other(reports: int) -> None:
    drawn = picture(charted(reports))
    assert all(words.box.within(drawn.page) for words in drawn.words)
    assert [(one.text, other.text) for one, other in combinations(drawn.words, 2) if one.box.meets(other.box)] == []
    assert len(dots(charted(reports))) == 2 * reports


def test_it_is_sound_svg_the_same_every_time_in_light_and_dark() -> None:
    svg = agreement_chart(charted(30))
    ElementTree.fromstring(svg)
    assert svg == agreement_chart(charted(30))
    assert "prefers-color-scheme:dark" in svg and "counts for less than half" in svg and "of this plan" in svg


def test_without_reports_it_says_so() -> None:
    assert agreement_chart([]).count("nothing was measured yet") >= 2
