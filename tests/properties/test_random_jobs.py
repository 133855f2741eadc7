"""Random weldments against random shelves: always an answer in time, every answer checked, every refusal explained."""

from __future__ import annotations

import time
from random import Random

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from inventory.stock import StockSnapshot
from solver.checks import check
from solver.planning import plan
from solver.request import Request
from tests.properties.shops import a_request, a_shop
from tests.properties.weldments import a_weldment

LIMIT_S = 2.0
LATE_S = 2.0
CALM = settings(
    derandomize=True,
    database=None,
    deadline=None,
    suppress_health_check=list(HealthCheck),
    print_blob=False,
    report_multiple_bugs=False,
)


def a_job(draw: Random, parts: int) -> tuple[Request, StockSnapshot]:
    weldment, stock = a_weldment(draw, parts), a_shop(draw)
    return a_request(draw, weldment, stock, time_limit_s=LIMIT_S), stock


def prove(request: Request, stock: StockSnapshot) -> None:
    """Plan a job and look at all that is promised of every answer."""
    start = time.monotonic()
    answer = plan(request, stock, seconds_left=lambda: LIMIT_S - (time.monotonic() - start))
    took = time.monotonic() - start
    document = answer.document()
    report = check(request, stock, document)

    assert report.ok, [(f.rule, f.subject, f.text) for f in report.failed]
    assert answer.work["dropped"] == 0, "a plan of ours failed its check"
    assert took <= LIMIT_S + LATE_S, f"{took:.1f} s"
    if answer.status in ("optimal", "feasible"):
        assert answer.alternatives
        costs = [alternative.cost.total_cents for alternative in answer.alternatives]
        assert costs == sorted(costs)
        assert answer.cost_bound_cents is not None and answer.cost_bound_cents <= costs[0]
        assert answer.status == "feasible" or answer.cost_bound_cents == costs[0]
    elif answer.status == "infeasible":
        assert answer.refused is not None and answer.refused["because"], "refused without a reason"
        assert all(reason["rule"] and reason["text"] for reason in answer.refused["because"])
    else:
        assert answer.status == "unknown" and answer.stopped_by != "proof"


@settings(CALM, max_examples=6)
@given(st.randoms(use_true_random=False), st.integers(1, 3))
def test_a_random_job_is_answered(draw: Random, parts: int) -> None:
    prove(*a_job(draw, parts))


@pytest.mark.slow
@pytest.mark.parametrize("parts", [1, 2, 3])
@settings(CALM, max_examples=200)
@given(seed=st.integers(0, 10**6))
def test_many_random_jobs_are_answered(parts: int, seed: int) -> None:
    """Six hundred jobs; one that fails is repeated by its number of parts and its seed."""
    prove(*a_job(Random(seed), parts))
