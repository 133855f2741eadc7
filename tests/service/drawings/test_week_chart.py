"""The chart of a week: every job in a bar of its own, what stays joined, late ones marked, words on the paper."""

from __future__ import annotations

from typing import Any

from service.drawings.paper.marks import Group
from service.drawings.weeks.chart import week_chart, week_picture
from service.drawings.weeks.lanes import bars_of
from tests.service.weeks import answered, week_question

LONG = "a gate of many names and no end to its name " * 4


def entry(job: str, first: int, last: int, stays: str | None = None, held: int | None = None, **more: Any) -> dict[str, Any]:
    day = "2027-03-{:02}"
    return {
        "job": job, "name": LONG, "plan": None, "rank": 1, "table": "T1", "seat": {"columns": 0, "rows": 0},
        "days": {"from": day.format(first), "to": day.format(last)},
        "held": {"from": day.format(first if held is None else held), "to": day.format(last)},
        "stays_after": stays, "days_late": 0, "cost": {"total_cents": 12345}, **more,
    }  # fmt: skip


def test_jobs_of_one_set_up_share_a_lane_and_others_keep_out_of_it() -> None:
    week = {
        "days": ["2027-03-01", "2027-03-05"], "tables": ["T1"],
        "assignments": [entry("a", 1, 1), entry("b", 3, 3, "a", 2), entry("c", 2, 2), entry("d", 4, 5)],
    }  # fmt: skip
    bars = {bar.entry["job"]: bar.lane for bar in bars_of(week)["T1"]}
    assert bars == {"a": 0, "b": 0, "c": 1, "d": 0}


def test_every_word_lies_on_the_paper_and_every_job_has_a_bar() -> None:
    jobs = [{"name": LONG, "due": "2027-03-04", "late_cents_per_day": 10} for _ in range(4)]
    week = answered(week_question(*jobs, {"release": "2027-03-08", "days": 1}))
    picture = week_picture(week, "EUR")
    assert [words.text for words in picture.words if not words.box.within(picture.page, 0.5)] == []
    groups = [mark for band in picture.marks if isinstance(band, Group) for mark in band.marks if isinstance(mark, Group)]
    assert len(groups) == len(week["assignments"])
    assert week_chart(week) == week_chart(week) and LONG[:30] in week_chart(week)


def test_names_cannot_steer_the_page() -> None:
    week = answered(week_question({"name": "<script>alert(1)</script>"}))
    assert "<script>" not in week_chart(week)
