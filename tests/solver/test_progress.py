"""What is told while a search goes on: every answer told so far is a plan that passes the check, should the search be ended."""

from __future__ import annotations

from dataclasses import replace

from service.documents import plan_document
from solver.checks import check
from solver.deadline import Deadline
from solver.planning import plan
from solver.progress import Progress
from tests import builders as b


def test_a_search_ended_at_any_progress_leaves_a_plan_that_passes() -> None:
    request, stock = b.request(b.tab_on_tube(), alternatives=2), b.plain_shelf()
    told: list[Progress] = []
    answer = plan(request, stock, deadline=Deadline(lambda: 60.0), on_progress=told.append)
    assert answer.status == "optimal" and answer.cost_bound_cents is not None
    assert len(told) == 3
    for progress in told:
        best, bound = progress.incumbent_cents, progress.bound_cents
        assert best is not None and bound is not None and bound <= answer.cost_bound_cents <= best
        cut = replace(
            answer,
            status="feasible",
            stopped_by="time",
            alternatives=progress.found,
            cost_bound_cents=bound,
            gap=(best - bound) / best,
        )
        report = check(request, stock, plan_document(cut))
        assert report.ok, [(finding.rule, finding.subject, finding.text) for finding in report.failed]
