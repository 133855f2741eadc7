"""Frames of 8 and 20 parts, the benchmark's jobs: planned, checked, and the smaller one proved. Limits are CPU seconds."""

from __future__ import annotations

from dataclasses import replace

import pytest

from service.documents import plan_document, read_request
from solver.checks import check
from tests.benchmarks.frames import FOLDER, SHOP, timed


@pytest.mark.slow
@pytest.mark.parametrize(("name", "parts", "proved", "limit"), [("frame-8", 8, True, 300.0), ("frame-20", 20, False, 120.0)])
def test_a_frame_is_planned(name: str, parts: int, proved: bool, limit: float) -> None:
    request, _ = read_request((FOLDER / f"{name}.json").read_bytes(), SHOP)
    assert len(request.weldment.parts) == parts
    run = timed(replace(request, alternatives=1), limit)
    report = check(request, SHOP, plan_document(run.plan))
    assert report.ok, [(finding.rule, finding.subject, finding.text) for finding in report.failed]
    assert run.plan.alternatives and run.plan.work["dropped"] == 0
    if proved:
        assert run.plan.status == "optimal"
    print(name, run.plan.status, run.plan.alternatives[0].cost.total_cents, run.plan.gap, run.first, run.proved)
