"""Every demo job gets a plan that passes the independent check, or a refusal that names what is wrong."""

from __future__ import annotations

import pytest

from service.command_line.demo import demo_question
from service.demo import job_document, job_names, stock_document
from service.documents import plan_document, read_request, read_stock
from service.drawings.formats import FORMATS
from service.drawings.subject import Subject
from service.planning_jobs.single_solve import watched
from solver.checks import check
from solver.plans import Plan

IMPOSSIBLE = ("shut-pocket", "one-clamp-short")
SHOP = read_stock(stock_document())


def planned(name: str) -> Plan:
    return watched(lambda: demo_question(name), lambda event: None)


@pytest.mark.slow
@pytest.mark.parametrize("name", [name for name in job_names() if name not in IMPOSSIBLE])
def test_a_job_is_planned_and_passes_the_check(name: str) -> None:
    request, _ = read_request(job_document(name), SHOP)
    plan = planned(name)
    assert plan.status in ("optimal", "feasible")
    assert plan.status == "optimal" or plan.gap is not None
    report = check(request, SHOP, plan_document(plan))
    assert report.ok, report.failed
    for alternative in plan.alternatives:
        assert all(format.content(Subject(alternative, request, SHOP)) for format in FORMATS.values() if format.available)


@pytest.mark.slow
@pytest.mark.parametrize("name", IMPOSSIBLE)
def test_an_impossible_job_is_refused_with_reasons(name: str) -> None:
    plan = planned(name)
    assert (plan.status, plan.alternatives) == ("infeasible", ())
    assert plan.refused is not None and plan.refused.because
