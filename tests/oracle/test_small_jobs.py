"""Small jobs planned, and looked through by the oracle: nothing it finds is cheaper, nothing refused can be held."""

from __future__ import annotations

from random import Random

import pytest

from tests.oracle.compare import compare
from tests.oracle.jobs.beams import beam_job
from tests.oracle.jobs.joints import tee_job
from tests.oracle.jobs.raised import heavy_job, in_line_job, raised_job
from tests.oracle.known import Job
from tests.oracle.places import Effort
from tests.oracle.search import Oracle

KINDS: tuple[tuple[Job, int], ...] = ((tee_job, 150), (heavy_job, 100), (in_line_job, 100), (raised_job, 150))
"""Builders of small jobs, and how many of each the long run looks through."""
BEAMS = 200
SHORT, LONG = Effort(positions=6, seats=6, tries=2), Effort(positions=80, seats=12, tries=4)


def unlike(job: Job, seeds: range | tuple[int, ...], effort: Effort) -> list[str]:
    """Return the jobs whose answer the oracle betters or the checker refuses."""
    found = []
    for seed in seeds:
        compared = compare(*job(Random(seed)), seconds=600.0, effort=effort)
        if compared.verdict != "agreed":
            found.append(f"{seed}: {compared}")
            print(job.__name__, found[-1], flush=True)
    return found


@pytest.mark.parametrize(
    ("job", "seeds"),
    [(tee_job, (1,)), (heavy_job, (17,)), (in_line_job, (16,)), (raised_job, (6,)), (beam_job, (3,))],
)
def test_the_oracle_betters_no_plan_of_a_few_small_jobs(job: Job, seeds: tuple[int, ...]) -> None:
    assert unlike(job, seeds, SHORT) == []


@pytest.mark.slow
@pytest.mark.parametrize(("job", "seeds"), [(tee_job, (10, 18)), (heavy_job, (1,)), (in_line_job, (10,)), (raised_job, (10,))])
def test_the_oracle_betters_no_plan_of_a_few_more(job: Job, seeds: tuple[int, ...]) -> None:
    assert unlike(job, seeds, SHORT) == []


@pytest.mark.parametrize(
    ("job", "seed"),
    [(tee_job, 13), pytest.param(in_line_job, 10, marks=pytest.mark.slow), pytest.param(heavy_job, 1, marks=pytest.mark.slow)],
)
def test_the_oracle_finds_a_fixture_of_its_own_and_none_below_a_proven_price(job: Job, seed: int) -> None:
    request, stock = job(Random(seed))
    found = Oracle(request, stock, lambda: 1.0, Effort(positions=40)).cheaper(None)
    assert found is not None
    compared = compare(request, stock, 600.0, SHORT)
    assert compared.cents is not None and compared.cents <= found.cents
    assert compared.verdict == "agreed"


def test_the_same_job_gives_the_same_fixture() -> None:
    first, again = (Oracle(*tee_job(Random(19)), lambda: 1.0, Effort(positions=40)).cheaper(None) for _ in range(2))
    assert first is not None and first == again


@pytest.mark.slow
@pytest.mark.parametrize(("job", "count"), KINDS)
def test_the_oracle_betters_no_plan_of_five_hundred_small_jobs(job: Job, count: int) -> None:
    assert unlike(job, range(1000, 1000 + count), LONG) == []


@pytest.mark.slow
def test_the_oracle_betters_no_plan_of_two_hundred_beams_on_short_tables() -> None:
    assert unlike(beam_job, range(1000, 1000 + BEAMS), LONG) == []
