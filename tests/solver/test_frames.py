"""The benchmarks on a small job; frames of 8 and 20 parts planned, checked, the smaller one proved. Limits are CPU seconds."""

from __future__ import annotations

from dataclasses import replace

import pytest

from service.documents import plan_document
from solver.checks import check
from tests import builders as b
from tests.benchmarks import statics
from tests.benchmarks.frames import STAGES, Clock
from tests.benchmarks.planning_run import timed
from tests.benchmarks.shop import SHOP, request_of


def test_a_small_job_is_timed_stage_by_stage() -> None:
    """The tab on a tube: every stage is met, the stages make up the whole, and the winning rows are kept."""
    clock = Clock()
    with clock.installed():
        run = timed(b.request(b.tab_on_tube(), alternatives=1), b.plain_shelf(), 60.0)
    assert run.plan.status == "optimal" and run.first is not None and run.proved is not None
    assert 0 < run.first <= run.proved <= run.seconds
    assert {stage for stage, _, _ in STAGES} <= set(clock.spent) and clock.won is not None
    assert sum(clock.spent.values()) == pytest.approx(run.seconds, rel=0.1)


def test_a_small_job_is_timed_with_loads_and_without(monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> None:
    monkeypatch.setattr(statics, "SHOP", b.plain_shelf())
    times = statics.compared("tab", b.request(b.tab_on_tube(), alternatives=1))
    assert times is not None and min(times) > 0
    assert capsys.readouterr().out.startswith("tab                  optimal")


@pytest.mark.slow
@pytest.mark.parametrize(("name", "parts", "through", "limit"), [("frame-8", 8, True, 300.0), ("frame-20", 20, False, 120.0)])
def test_a_frame_is_planned(name: str, parts: int, through: bool, limit: float) -> None:
    request = request_of(name)
    assert len(request.weldment.parts) == parts
    run = timed(replace(request, alternatives=1), SHOP, limit)
    report = check(request, SHOP, plan_document(run.plan))
    assert report.ok, [(finding.rule, finding.subject, finding.text) for finding in report.failed]
    assert run.plan.alternatives and run.plan.work["dropped"] == 0
    if through:  # of all but arms and some orders of loading, the cheapest: only what those could cost bounds the price
        left = {entry.code: entry.could_cost_cents for entry in run.plan.left_out}
        assert left.keys() <= {"arms", "orders"} and run.plan.stopped_by == ("scope" if left else "proof")
        price = run.plan.alternatives[0].cost.total_cents
        assert run.plan.cost_bound_cents == min([price, *(cents for cents in left.values() if cents is not None)])
    print(name, run.plan.status, run.plan.alternatives[0].cost.total_cents, run.plan.gap, run.first, run.proved)
