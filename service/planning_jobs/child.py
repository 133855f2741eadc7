"""What runs in the solving child: one call of the planner, its progress and its answer put into the job's folder."""

from __future__ import annotations

import os
import time
from dataclasses import fields, replace
from typing import Any

from inventory.stock import StockSnapshot
from service.documents import plan_document
from service.planning_jobs.job_folder import JobFolder, StopSign
from service.planning_jobs.planner import Planner
from solver.deadline import Deadline
from solver.plans import Plan
from solver.progress import Progress
from solver.request import Request


def solve(planner: Planner, request: Request, stock: StockSnapshot, folder: JobFolder, warnings: tuple[str, ...] = ()) -> None:
    """Plan one request and leave in the job's folder what the parent needs, whatever happens to this process afterwards.

    ``started.json``, ``progress.jsonl``, ``best.json`` (best plan so far) and, at the end, ``plan.json``;
    ``unknown.json`` is the honest answer if the child must be ended before it has found anything.
    """
    began = time.monotonic()
    ends = began + request.time_limit_s
    nothing = Plan(
        status="unknown", stopped_by="time", cost_bound_cents=None, gap=None, solve_s=request.time_limit_s,
        rules=request.rules.resolved(), rules_version=request.rules.version, stock_version=stock.version, seed=request.seed,
    )  # fmt: skip
    folder.put("unknown.json", plan_document(nothing))
    folder.put("started.json", {"pid": os.getpid(), "limit_s": request.time_limit_s, "warnings": list(warnings)})

    kept = 0

    def on_progress(progress: Progress) -> None:
        nonlocal kept
        folder.report(_event(progress, round(time.monotonic() - began, 3)))
        if len(progress.found) > kept:
            kept = len(progress.found)
            elapsed = round(time.monotonic() - began, 3)
            best = replace(nothing, status="feasible", solve_s=elapsed, alternatives=progress.found, gap=_gap(progress))
            folder.put("best.json", plan_document(replace(best, cost_bound_cents=progress.bound_cents)))

    plan = planner(
        request,
        stock,
        deadline=Deadline(lambda: ends - time.monotonic(), StopSign(folder)),
        on_progress=on_progress,
    )
    folder.put("plan.json", plan_document(plan))


def _event(progress: Progress, elapsed_s: float) -> dict[str, Any]:
    """Return a progress event: the planner's plain numbers, the gap between the first two of them, the seconds so far."""
    event: dict[str, Any] = {"elapsed_s": elapsed_s}
    for field in fields(progress):
        value = getattr(progress, field.name)
        if value is None or isinstance(value, str | int | float | bool):
            event[field.name] = value
    return {**event, "gap": _gap(progress)}


def _gap(progress: Progress) -> float | None:
    best, bound = progress.incumbent_cents, progress.bound_cents
    return None if best is None or bound is None else max(0.0, (best - bound) / best) if best else 0.0
