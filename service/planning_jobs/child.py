"""What runs in the solving child: one call of the planner, its progress and its answer put into the job's folder.

The command line hands a request over as read: its child does without what reads documents.
"""

from __future__ import annotations

import json
import logging
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
from solver.deadline import Deadline, DeadlinePassed, look
from solver.plans import Plan
from solver.progress import Progress
from solver.request import Request

log = logging.getLogger("holdwright.jobs")
SCORING_S = 1.0
"""A plan's score may hold its answer up for so long, s."""


def solve(
    planner: Planner, request: Request, stock: StockSnapshot, folder: JobFolder, warnings: tuple[str, ...] = (),
    ledgers: LedgerFiles | None = None, job: str = "", *, scored: bool = False,
) -> None:  # fmt: skip
    """Plan one request and leave in the job's folder what the parent needs, whatever happens to this process afterwards.

    ``started.json`` (the limit counts from its `began`, seconds of `time.monotonic`, which is one clock for all processes),
    ``progress.jsonl``, the best plan so far and, at the end, the plan. `ledgers` are where the planner finds its ledgers, if any.
    Lines of the log carry the id of the `job`. `scored`: the plan's score is left there too, if there is time for it.
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
        if scored and plan.alternatives:
            _score(request, stock, plan, folder, min(SCORING_S, ends - time.monotonic()))


def _score(request: Request, stock: StockSnapshot, plan: Plan, folder: JobFolder, seconds: float) -> None:
    """Leave the score of a plan in the job's folder; where there is no time it is worked out when it is first asked for."""
    from service.documents.rescoring.kept_score import score_text
    from solver.rescoring.scoring import plan_score

    try:
        with Deadline.on(time.monotonic, seconds).in_force():
            look()
            folder.write("score", score_text(plan_score(request, stock, plan)))
    except DeadlinePassed:
        return
    except Exception:  # a score is worth less than the plan, which is handed over already
        log.exception("a plan could not be scored")


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
    solve(planner, request, stock, folder, tuple(str(warning) for warning in warnings), ledgers, job, scored=True)


def _event(progress: Progress, elapsed_s: float) -> dict[str, Any]:
    """Return a progress event: the planner's plain numbers, the gap between the first two of them, the seconds so far."""
    event: dict[str, Any] = {"elapsed_s": elapsed_s}
    for field in fields(progress):
        value = getattr(progress, field.name)
        if value is None or isinstance(value, str | int | float | bool):
            event[field.name] = value
    return {**event, "gap": gap_of(progress.incumbent_cents, progress.bound_cents)}
