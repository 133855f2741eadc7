"""The best plan told so far: what is kept of what was told, and the answer it makes of a search that is ended."""

from __future__ import annotations

import os
import time
from dataclasses import replace
from pathlib import Path

import pytest

from service.documents import read_plan
from service.planning_jobs.best_so_far import answer_of_ended, gap_of, nothing_yet, with_told
from service.planning_jobs.job_folder import JobFolder
from solver.plans import Alternative, Plan
from solver.progress import Progress
from tests import builders as b
from tests.service.documents import samples

ASKED = b.request(b.weldment(b.bar(length=300)))
NOTHING = nothing_yet(ASKED, b.plain_shelf())


def fixture(total_cents: int, rank: int = 1) -> Alternative:
    (one,) = read_plan(samples.plan()).alternatives
    return replace(one, rank=rank, cost=replace(one.cost, total_cents=total_cents))


def told(kept: Plan, bound: int | None, *totals: int, at: float = 1.0, most: int = 3) -> Plan:
    found = tuple(fixture(total, rank) for rank, total in enumerate(totals, start=1))
    return with_told(kept, Progress(min(totals, default=None), bound, 1, 2, len(found), found), at, most)


def totals(plan: Plan) -> list[int]:
    return [each.cost.total_cents for each in plan.alternatives]


def test_a_cheaper_plan_takes_the_place_of_a_dearer_one_and_never_the_other_way_round() -> None:
    first = told(NOTHING, 500, 1000)
    better = told(first, 600, 900, at=2.0)
    assert (totals(first), totals(better), better.solve_s) == ([1000], [900], 2.0)
    assert told(better, 700, 950) is better
    assert told(better, 700) is better


def test_more_alternatives_beside_the_same_best_are_kept_and_fewer_are_not() -> None:
    two = told(told(NOTHING, 900, 900), 900, 900, 950)
    assert totals(two) == [900, 950]
    assert told(two, 900, 900) is two
    assert totals(told(two, 900, 900, 950, 960, 970)) == [900, 950, 960]


def test_alternatives_told_out_of_order_are_ranked_by_price() -> None:
    plan = told(NOTHING, 800, 950, 900)
    assert [(each.rank, each.title, each.cost.total_cents) for each in plan.alternatives] == [
        (1, "cheapest", 900), (2, "alternative 2", 950)
    ]  # fmt: skip
    assert plan.alternatives[0].differs == "" and plan.alternatives[1].differs


@pytest.mark.parametrize(
    ("bound", "status", "proved", "gap"),
    [(None, "feasible", 0, 1.0), (450, "feasible", 450, 0.5), (900, "optimal", 900, 0.0), (950, "optimal", 900, 0.0)],
)
def test_status_and_gap_are_what_the_bound_bears_out(bound: int | None, status: str, proved: int, gap: float) -> None:
    plan = told(NOTHING, bound, 900)
    assert (plan.status, plan.cost_bound_cents, plan.gap) == (status, proved, gap)


def test_a_gap_needs_both_prices() -> None:
    assert (gap_of(None, 5), gap_of(5, None), gap_of(0, 0), gap_of(1000, 900)) == (None, None, 0.0, 0.1)


@pytest.fixture
def folder(tmp_path: Path) -> JobFolder:
    """The folder of a solve that began half a second ago."""
    made = JobFolder(tmp_path / "job").create()
    made.put("started.json", {"pid": os.getpid(), "began": time.monotonic() - 0.5, "limit_s": 1.0, "warnings": []})
    return made


def test_what_was_proved_since_the_best_plan_counts(folder: JobFolder) -> None:
    folder.hand_over("best", told(NOTHING, 450, 900, at=0.2))
    folder.report({"elapsed_s": 0.2, "incumbent_cents": 900, "bound_cents": 450})
    folder.report({"elapsed_s": 0.4, "incumbent_cents": 900, "bound_cents": 720})
    answer = answer_of_ended(folder, "time")
    assert answer is not None and answer.solve_s is not None
    assert (answer.status, answer.stopped_by, answer.cost_bound_cents, answer.gap) == ("feasible", "time", 720, 0.2)
    assert 0.5 <= answer.solve_s < 60


def test_a_plan_whose_telling_was_cut_off_counts_with_its_own_bound(folder: JobFolder) -> None:
    folder.report({"elapsed_s": 0.2, "incumbent_cents": 1000, "bound_cents": 450})
    folder.hand_over("best", told(NOTHING, 720, 900, at=0.4))
    answer = answer_of_ended(folder, "cancel")
    assert answer is not None
    assert (totals(answer), answer.stopped_by, answer.cost_bound_cents) == ([900], "cancel", 720)


@pytest.mark.parametrize(("by", "says"), [("time", "the time ran out"), ("cancel", "the search was cancelled")])
def test_without_a_plan_the_answer_says_what_ended_the_search(folder: JobFolder, by: str, says: str) -> None:
    folder.hand_over("best", NOTHING)
    answer = answer_of_ended(folder, "time" if by == "time" else "cancel")
    assert answer is not None and answer.refused is not None
    assert (answer.status, answer.stopped_by, answer.alternatives) == ("unknown", by, ())
    (reason,) = answer.refused.because
    assert reason.rule == f"search.{by}" and reason.text.startswith(says)


def test_a_search_that_had_not_begun_has_no_answer(tmp_path: Path) -> None:
    assert answer_of_ended(JobFolder(tmp_path / "job").create(), "time") is None
