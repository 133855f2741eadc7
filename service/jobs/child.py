"""What runs in the solving child: one call of the planner, its progress and its answer put into the spool."""

from __future__ import annotations

import dataclasses
import importlib
import os
import time
from collections.abc import Callable
from typing import Any

from inventory.stock import StockSnapshot
from service.jobs.spool import Spool, StopSign
from solver.plan import Plan
from solver.request import Request

PLANNER = "solver.planning:plan"


def named(function: str) -> Callable[..., Any]:
    """Return the function a `module:name` text names; children import it themselves instead of receiving code."""
    module, _, name = function.partition(":")
    found: Callable[..., Any] = getattr(importlib.import_module(module), name)
    return found


def solve(planner: str, request: Request, stock: StockSnapshot, folder: Spool, warnings: tuple[str, ...] = ()) -> None:
    """Plan one request and leave in the spool what the parent needs, whatever happens to this process afterwards.

    ``started.json``, ``progress.jsonl``, ``best.json`` (best plan so far) and, at the end, ``plan.json``;
    ``unknown.json`` is the honest answer if the child must be ended before it has found anything.
    """
    began = time.monotonic()
    ends = began + request.time_limit_s
    nothing = Plan(
        status="unknown", stopped_by="time", cost_bound_cents=None, gap=None, solve_s=request.time_limit_s,
        rules=request.rules.resolved(), rules_version=request.rules.version, stock_version=stock.version, seed=request.seed,
    )  # fmt: skip
    folder.put("unknown.json", nothing.document())
    folder.put("started.json", {"pid": os.getpid(), "limit_s": request.time_limit_s, "warnings": list(warnings)})

    def on_progress(progress: Any) -> None:
        event, best = _progress_event(progress, round(time.monotonic() - began, 3))
        folder.report(event)
        if best is not None:
            folder.put("best.json", best)

    plan = named(planner)(
        request,
        stock,
        seconds_left=lambda: ends - time.monotonic(),
        on_progress=on_progress,
        should_stop=StopSign(folder),
    )
    folder.put("plan.json", plan.document())


def _progress_event(progress: Any, elapsed_s: float) -> tuple[dict[str, Any], dict[str, Any] | None]:
    """Split what the planner reports into the plain numbers and the best plan so far (a document, or None)."""
    event: dict[str, Any] = {"elapsed_s": elapsed_s}
    best: dict[str, Any] | None = None
    for field in dataclasses.fields(progress):
        value = getattr(progress, field.name)
        if isinstance(value, Plan):
            best = value.document()
        elif value is None or isinstance(value, str | int | float | bool):
            event[field.name] = value
    return event, best
