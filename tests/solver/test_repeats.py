"""The same question gives the same answer, byte for byte: run after run, in fresh processes, whatever the hash seed."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from pathlib import Path

import pytest

from service.demo import MAIN_JOB, job_document, stock_document
from service.documents import plan_document, read_request, read_stock
from solver.deadline import Deadline
from solver.planning import plan
from tests import builders as b

ROOT = Path(__file__).parents[2]
AGAIN = "from tests.solver.test_repeats import answer; import sys; sys.stdout.write(answer(sys.argv[1]))"
JOBS = ("bar", "tab")


def answer(job: str) -> str:
    """Return the plan of a job as JSON text, solve time aside."""
    if job == "demo":
        shop = read_stock(stock_document())
        request, stock = read_request(job_document(MAIN_JOB), shop)[0], shop
    else:
        weldment = b.weldment(b.bar(length=240)) if job == "bar" else b.tab_on_tube()
        request, stock = b.request(weldment, alternatives=3, seed=3), b.plain_shelf()
    document = plan_document(plan(request, stock, deadline=Deadline(lambda: 1000.0)))
    assert document["stopped_by"] == "proof" and document["alternatives"]
    return json.dumps({key: value for key, value in document.items() if key != "solve_s"}, sort_keys=True)


def elsewhere(job: str, hash_seed: int) -> str:
    """Return the same from a fresh interpreter."""
    env = {**os.environ, "PYTHONHASHSEED": str(hash_seed), "PYTHONPATH": str(ROOT)}
    run = subprocess.run(
        [sys.executable, "-c", AGAIN, job], cwd=ROOT, env=env, capture_output=True, text=True, check=True, timeout=120
    )
    return run.stdout


def test_again_and_elsewhere() -> None:
    first = answer("tab")
    assert answer("tab") == first
    assert elsewhere("tab", 12345) == first


@pytest.mark.slow
@pytest.mark.parametrize("job", [*JOBS, "demo"])
def test_ten_times(job: str) -> None:
    first = answer(job)
    assert all(answer(job) == first for _ in range(6))
    assert all(elsewhere(job, seed) == first for seed in (0, 1, 2**32 - 1))
