"""Random weldments against random shelves: always an answer in time, every answer checked, every refusal confirmed.

Time is the processor's, not the clock's on the wall, so that a busy machine fails nobody: what the planner is given and what it
takes are both counted so, and only in the long run. It computes without waiting for anything; hanging, it would take time too.
"""

from __future__ import annotations

import os
import time
from collections import Counter
from random import Random

import pytest

from inventory.stock import StockSnapshot
from service.documents import plan_document
from solver.checks import check
from solver.deadline import Deadline
from solver.explain.confirmation import FEWEST_REBUILT
from solver.planning import plan
from solver.plans import Plan
from solver.request import Request
from tests.properties.shelves import SHOPS, shop
from tests.properties.shops import a_request, a_shop
from tests.properties.structures import a_structure
from tests.properties.weldments import a_weldment

LIMIT_S = 3.0
LATE_S = 2.0
JOBS, CHUNK = 2000, 50
SIZES = (1, 2, 2, 3, 3, 4, 4, 5, 6, 7, 8)
"""Parts of a random weldment, those that mostly have a plan drawn more often."""


def a_job(draw: Random, parts: int) -> tuple[Request, StockSnapshot]:
    """Return a few odd parts and a shop drawn for them alone."""
    weldment, stock = a_weldment(draw, parts), a_shop(draw)
    return a_request(draw, weldment, stock, time_limit_s=LIMIT_S), stock


def job(number: int, parts: int | None = None) -> tuple[Request, StockSnapshot]:
    """Return a job by its number: a structure of up to eight parts for one of the five shops; one in ten is an odd one."""
    draw = Random(number)
    parts = draw.choice(SIZES) if parts is None else parts
    if parts <= 3 and draw.random() < 0.2:
        return a_job(draw, parts)
    weldment, stock = a_structure(draw, parts), shop(draw.randrange(SHOPS))
    asked = {"turn": (0.0,), "down": ("-z",)} if parts > 3 else {}
    return a_request(draw, weldment, stock, time_limit_s=LIMIT_S, **asked), stock


def proved(request: Request, stock: StockSnapshot) -> tuple[Plan, float]:
    """Plan a job, look at all that is promised of every answer, and return it with the seconds it took the processor."""
    start = time.process_time()
    answer = plan(request, stock, deadline=Deadline(lambda: LIMIT_S - (time.process_time() - start)))
    took = time.process_time() - start
    report = check(request, stock, plan_document(answer))
    assert report.ok, [(f.rule, f.subject, f.text) for f in report.failed]
    assert answer.work["dropped"] == 0, "a plan of ours failed its check"
    if answer.status in ("optimal", "feasible"):
        assert answer.alternatives
        costs = [alternative.cost.total_cents for alternative in answer.alternatives]
        assert costs == sorted(costs)
        assert answer.cost_bound_cents is not None and answer.cost_bound_cents <= costs[0]
        assert answer.status == "feasible" or answer.cost_bound_cents == costs[0]
    elif answer.status == "infeasible":
        refused_twice(answer)
    else:
        assert answer.status == "unknown" and answer.stopped_by != "proof"
    return answer, took


def refused_twice(answer: Plan) -> None:
    """Look whether a refusal has reasons and was confirmed by HiGHS: each model's rows, and positions that had no model."""
    assert answer.stopped_by == "proof"
    assert answer.refused is not None and answer.refused.because, "refused without a reason"
    assert all(reason.rule and reason.text for reason in answer.refused.because)
    work = answer.work
    if any(reason.rule == "torch.open_side" for reason in answer.refused.because):
        assert work["proofs_repeated"] > 0, "no weld was looked at again"
        return
    assert work["proofs_repeated"] == work["proofs"], "a model's refusal was not confirmed"
    assert work["made_anew"] >= min(FEWEST_REBUILT, work["fell_early"]), "positions without a model were not confirmed"


@pytest.mark.parametrize("parts", [1, 3, *(pytest.param(parts, marks=pytest.mark.slow) for parts in (2, 5, 8))])
def test_a_random_job_is_answered(parts: int) -> None:
    proved(*job(parts, parts))


def test_no_plan_is_dropped_where_arms_and_orders_of_loading_meet() -> None:
    """Three flat bars: on arms, too, a part is located by those in before it alone."""
    assert proved(*job(84))[0].status in ("optimal", "feasible")


@pytest.mark.slow
@pytest.mark.parametrize("first", range(0, JOBS, CHUNK), ids=lambda first: f"half{1 + 2 * first // JOBS}-from{first}")
def test_two_thousand_random_jobs_are_answered_in_time(first: int) -> None:
    """One that fails is named by its number: `job(number)` draws it again."""
    assert os.environ.get("OPENBLAS_NUM_THREADS") == "1", "idle threads would be counted as time taken; .ci/slow sets this"
    told, late, wrong = Counter[str](), [], []
    for number in range(first, first + CHUNK):
        request, stock = job(number)
        try:
            answer, took = proved(request, stock)
        except Exception as fault:
            wrong.append((number, repr(fault)[:400]))
            continue
        told[f"{len(request.weldment.parts)} {answer.status}"] += 1
        if took > LIMIT_S + LATE_S:
            late.append((number, round(took, 2)))
        print(number, len(request.weldment.parts), answer.status, answer.stopped_by, round(took, 2), flush=True)
    print(sorted(told.items()))
    assert not wrong
    assert not late
