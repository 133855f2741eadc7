"""What statics cost on the demo jobs: the same search with the rule book's loads and without any.

    python -m tests.benchmarks statics [JOB ...]

Times are CPU seconds of this process, so that other work on the machine counts little. Without loads only gravity is left.
Jobs that no fixture can hold are left out: what is measured is the search, not the explanation.
"""

from __future__ import annotations

import time
from collections.abc import Sequence
from dataclasses import replace

from service.demo import job_document, job_names, stock_document
from service.documents import read_request, read_stock
from solver.deadline import Deadline
from solver.planning import plan
from solver.plans import Plan
from solver.request import Request
from solver.rule_book.book import RuleBook

LIMIT_S = 120.0
LOADS_OFF = {"hold.handling_n": 0.0, "hold.shrink_n_per_mm2": 0.0}


def timed(request: Request) -> tuple[float, Plan]:
    """Return CPU seconds and the plan; the time limit counts CPU seconds too."""
    start = time.process_time()
    found = plan(request, SHOP, deadline=Deadline(lambda: LIMIT_S - (time.process_time() - start)))
    return time.process_time() - start, found


def compared(name: str, request: Request) -> tuple[float, float] | None:
    """Print one job's line and return CPU seconds with loads and without; None if no fixture can hold it."""
    loose = replace(request, rules=RuleBook({**request.rules.changes, **LOADS_OFF}, request.rules.base, request.rules.version))
    seconds, held = timed(request)
    if not held.alternatives:
        print(f"{name:20} {held.status}")
        return None
    without, free = timed(loose)
    cents = [found.alternatives[0].cost.total_cents if found.alternatives else 0 for found in (held, free)]
    rounds = held.work["rounds_of_cuts"]
    times = f"{seconds:8.2f} {without:8.2f} {seconds / without:6.2f}"
    print(f"{name:20} {held.status:10} {times} {rounds:7} {cents[0]:8} {cents[1]:8}", flush=True)
    return seconds, without


def report(names: Sequence[str]) -> None:
    """Print a line a job and the ratio over all."""
    print(f"{'job':20} {'status':10} {'with':>8} {'without':>8} {'ratio':>6} {'rounds':>7} {'cents':>8} {'without':>8}")
    found = [compared(name, read_request(job_document(name), SHOP)[0]) for name in names]
    measured = [times for times in found if times is not None]
    if measured:
        loaded, free = (sum(times) for times in zip(*measured, strict=True))
        print(f"all: {loaded:.1f} s with loads, {free:.1f} s without, ratio {loaded / free:.2f}")


SHOP = read_stock(stock_document())
JOBS = job_names()
