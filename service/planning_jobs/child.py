"""What runs in the solving child: one call of the planner, its progress and its answer put into the job's folder.

The command line hands a request over as read: its child does without what reads documents.
"""

from __future__ import annotations

import json
import os
import time
from contextlib import nullcontext
from dataclasses import fields
from typing import Any

from inventory.errors import InvalidDocument
from inventory.stock import StockSnapshot
from service.logs.about import about_job
from service.planning_jobs.best_so_far import gap_of, nothing_yet, with_told
from service.planning_jobs.failed_checks import counting_failed_checks
from service.planning_jobs.job_folder import JobFolder, StopSign
from service.planning_jobs.ledger_files import LedgerFiles
from service.planning_jobs.planner import Planner
from solver.deadline import Deadline
from solver.progress import Progress
from solver.request import Request


def solve(
    planner: Planner, request: Request, stock: StockSnapshot, folder: JobFolder, warnings: tuple[str, ...] = (),
    ledgers: LedgerFiles | None = None, job: str = "",
) -> None:  # fmt: skip
    """Plan one request and leave in the job's folder what the parent needs, whatever happens to this process afterwards.

    ``started.json`` (the limit counts from its `began`, seconds of `time.monotonic`, which is one clock for all processes),
    ``progress.jsonl``, the best plan so far and, at the end, the plan. `ledgers` are where the planner finds its ledgers, if any.
    Lines of the log carry the id of the `job`.
    """
    began = time.monotonic()
    ends = began + request.time_limit_s
    best = nothing_yet(request, stock)
    folder.hand_over("best", best)
    folder.put("started.json", {"pid": os.getpid(), "began": began, "limit_s": request.time_limit_s, "warnings": list(warnings)})

    def on_progress(progress: Progress) -> None:
        nonlocal best
        elapsed = round(time.monotonic() - began, 3)
        kept, best = best, with_told(best, progress, elapsed, request.alternatives)
        if best is not kept:
            folder.hand_over("best", best)
        folder.report(_event(progress, elapsed))

    with nullcontext() if ledgers is None else ledgers.used(), counting_failed_checks(folder), about_job(job):
        plan = planner(
            request,
            stock,
            deadline=Deadline(lambda: ends - time.monotonic(), StopSign(folder)),
            on_progress=on_progress,
        )
        folder.hand_over("plan", plan)


def solve_document(
    planner: Planner, text: str, stock: StockSnapshot, folder: JobFolder, ledgers: LedgerFiles | None, job: str
) -> None:  # fmt: skip
    """Read a request document as it was accepted, with the stock of its days, and plan it; faults are left in the folder."""
    from service.documents import read_request

    try:
        request, warnings = read_request(json.loads(text), stock)
    except InvalidDocument as bad:
        folder.refuse(bad.faults)
        return
    solve(planner, request, stock, folder, tuple(str(warning) for warning in warnings), ledgers, job)


def _event(progress: Progress, elapsed_s: float) -> dict[str, Any]:
    """Return a progress event: the planner's plain numbers, the gap between the first two of them, the seconds so far."""
    event: dict[str, Any] = {"elapsed_s": elapsed_s}
    for field in fields(progress):
        value = getattr(progress, field.name)
        if value is None or isinstance(value, str | int | float | bool):
            event[field.name] = value
    return {**event, "gap": gap_of(progress.incumbent_cents, progress.bound_cents)}
