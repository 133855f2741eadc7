"""What a refusal names is the cause: all of it lifted from outside, nothing proves any more that there is no fixture.

Lifted are requests and shelves, with nothing of the planner's own lifting; what is wished for is planned and checked like any
other job. Of refusals that were not lifted in time, and of what no shop could lift, nothing is claimed.
"""

from __future__ import annotations

import time
from collections import Counter
from random import Random

import pytest

from inventory.stock import StockSnapshot
from solver.deadline import Deadline
from solver.planning import plan
from solver.request import Request
from tests.oracle.jobs.beams import beam_job
from tests.oracle.jobs.joints import tee_job
from tests.oracle.jobs.raised import heavy_job, in_line_job, raised_job
from tests.oracle.known import Job
from tests.properties.lifting import Lifted, judged
from tests.properties.test_random_jobs import job

LIMIT_S, LIFTED_S = 5.0, 5.0
JOBS, CHUNK = 600, 50
FIRST = 2000
"""Number of the first random job of the long run: none that others look at."""
SMALL: tuple[Job, ...] = (tee_job, heavy_job, in_line_job, raised_job, beam_job)


def looked_at(request: Request, stock: StockSnapshot) -> tuple[bool, Lifted] | None:
    """Plan a job; if it is refused, return whether its reasons were lifted, and what lifting them from outside says."""
    answer = plan(request, stock, deadline=Deadline.on(time.process_time, LIMIT_S))
    if answer.status != "infeasible":
        return None
    assert answer.refused is not None
    return bool(answer.work["reasons_lifted"]), judged(request, stock, answer.refused.because, LIFTED_S)


def swept(name: str, jobs: list[tuple[Request, StockSnapshot]], first: int = 0) -> None:
    """Look at jobs; fail if any refusal whose reasons were lifted is shut by what was not named."""
    told, wrong = Counter[str](), []
    for number, (request, stock) in enumerate(jobs, first):
        found = looked_at(request, stock)
        if found is None:
            continue
        proved, after = found
        told[f"{after.verdict}{'' if proved else ', not lifted in time'}"] += 1
        if proved and after.verdict == "shut by others":
            wrong.append((name, number, [(reason.rule, reason.subject) for reason in after.because]))
    print(name, sorted(told.items()), flush=True)
    assert not wrong


@pytest.mark.parametrize(("build", "seed"), [(tee_job, 12), (heavy_job, 0), (raised_job, 13), (beam_job, 8)])
def test_what_is_named_of_a_small_job_is_the_cause(build: Job, seed: int) -> None:
    found = looked_at(*build(Random(seed)))
    assert found is not None
    assert found[0] and found[1].verdict == "helps", found


@pytest.mark.parametrize("number", [4, 82])
def test_what_is_named_of_a_random_job_is_the_cause(number: int) -> None:
    found = looked_at(*job(number))
    assert found is not None
    assert found[0] and found[1].verdict == "helps", found


@pytest.mark.slow
@pytest.mark.parametrize(
    ("asked", "stock"), [heavy_job(Random(12)), raised_job(Random(21)), job(67)], ids=["heavy", "raised", "67"]
)
def test_what_is_named_of_three_more_jobs_is_the_cause(asked: Request, stock: StockSnapshot) -> None:
    found = looked_at(asked, stock)
    assert found is not None
    assert found[0] and found[1].verdict == "helps", found


@pytest.mark.slow
@pytest.mark.parametrize("build", SMALL)
def test_what_is_named_of_small_jobs_is_the_cause(build: Job) -> None:
    swept(build.__name__, [build(Random(seed)) for seed in range(2000, 2040)], 2000)


@pytest.mark.slow
@pytest.mark.parametrize("first", range(FIRST, FIRST + JOBS, CHUNK), ids=lambda first: f"from{first}")
def test_what_is_named_of_random_jobs_is_the_cause(first: int) -> None:
    swept("random", [job(number) for number in range(first, first + CHUNK)], first)
