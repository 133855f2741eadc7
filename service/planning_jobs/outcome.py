"""How a job ended: what its worker left behind, and what became of the worker."""

from __future__ import annotations

import logging
from collections.abc import Mapping
from concurrent.futures import CancelledError, TimeoutError
from concurrent.futures.process import BrokenProcessPool
from dataclasses import dataclass, replace
from typing import Any

from pebble import ProcessExpired, ProcessFuture

from inventory.errors import Fault
from service.documents import plan_document
from service.errors import how_it_ended
from service.planning_jobs.best_so_far import answer_of_ended
from service.planning_jobs.failed_checks import failed_checks
from service.planning_jobs.job_folder import JobFolder
from service.records.job import Failure, FailureKind, State
from solver.plans import Plan

log = logging.getLogger("holdwright.jobs")


@dataclass(frozen=True, slots=True)
class Outcome:
    """The state a job ends in; kind and detail of a failure, the answer, or both; how many plans failed their check.

    `score` is what is kept of the plan for changed rules to be held against; None where it was not worked out.
    """

    state: State
    kind: FailureKind | None = None
    detail: str = ""
    plan: Plan | None = None
    faults: tuple[Fault, ...] = ()
    advice: Mapping[str, Any] | None = None
    week: Mapping[str, Any] | None = None
    failed_checks: int = 0
    score: str | None = None

    @property
    def failure(self) -> Failure | None:
        """What went wrong, None if nothing did."""
        return None if self.kind is None else Failure(self.kind, self.detail, self.faults)

    @property
    def document(self) -> Mapping[str, Any] | None:
        """The answer as it is kept: the plan's document, the advice or the planned week; None if there is none."""
        return (self.advice or self.week) if self.plan is None else plan_document(self.plan)


def no_longer_valid(faults: tuple[Fault, ...]) -> Outcome:
    """Return how a job ends whose request was sound when it was taken in."""
    return Outcome("failed", "invalid", "the request no longer fits the stock", faults=faults)


def plan_outcome(future: ProcessFuture[Any], folder: JobFolder, cancelled: bool) -> Outcome | None:
    """Return how a solve ended; None if it never started because the pool broke."""
    found = _solve_ended(future, folder, cancelled)
    return None if found is None else replace(found, failed_checks=failed_checks(folder))


def _solve_ended(future: ProcessFuture[Any], folder: JobFolder, cancelled: bool) -> Outcome | None:
    """Say how a solve ended.

    A plan that was handed over counts, whatever happened to the worker afterwards. A worker ended at its limit or after a
    cancel leaves the best plan so far, or the honest answer that nothing is known; one that died leaves the former beside its
    failure, marked as cut off.
    """
    broken = _broken(future, folder)
    if isinstance(broken, BrokenProcessPool):
        return None
    plan = folder.plan("plan")
    if plan is not None:
        return Outcome(
            "cancelled" if cancelled and plan.stopped_by == "cancel" else "done", plan=plan, score=folder.text("score")
        )
    if (faults := folder.faults()) is not None:
        return no_longer_valid(faults)
    if isinstance(broken, CancelledError | TimeoutError):
        return _cut_short(folder, cancelled)
    told = answer_of_ended(folder, "cancel")
    best = told if told is not None and told.alternatives else None
    if isinstance(broken, ProcessExpired):
        return Outcome("failed", "worker-died", how_it_ended(broken.exitcode), best)
    return Outcome("failed", "internal", "the planner failed; the server's log has the details under the job's id", best)


def advice_outcome(future: ProcessFuture[Any], folder: JobFolder, cancelled: bool, seconds: float) -> Outcome | None:
    """Return how the work on advice ended, which had so many seconds; None if it never started because the pool broke."""
    broken = _broken(future, folder)
    if isinstance(broken, BrokenProcessPool):
        return None
    advice = folder.get("advice.json")
    if advice is not None:
        return Outcome("cancelled" if cancelled and not advice["complete"] else "done", advice=advice)
    if (faults := folder.faults()) is not None:
        return no_longer_valid(faults)
    if cancelled:
        return Outcome("cancelled")
    if isinstance(broken, CancelledError | TimeoutError | ProcessExpired):
        died = how_it_ended(broken.exitcode) if isinstance(broken, ProcessExpired) else f"no advice within {seconds:g} s"
        return Outcome("failed", "worker-died", f"{died}; fewer requests, or a larger time_limit_s, may help")
    return Outcome("failed", "internal", "working the advice out failed; the server's log has the details under the job's id")


def week_outcome(future: ProcessFuture[Any], folder: JobFolder, cancelled: bool) -> Outcome | None:
    """Return how the planning of a week ended; None if it never started because the pool broke."""
    broken = _broken(future, folder)
    if isinstance(broken, BrokenProcessPool):
        return None
    week = folder.get("week.json")
    if week is not None:
        return Outcome("cancelled" if cancelled and week["stopped_by"] == "cancel" else "done", week=week)
    if (faults := folder.faults()) is not None:
        return no_longer_valid(faults)
    if cancelled:
        return Outcome("cancelled")
    if isinstance(broken, CancelledError | TimeoutError | ProcessExpired):
        died = how_it_ended(broken.exitcode) if isinstance(broken, ProcessExpired) else "no answer within its time"
        return Outcome("failed", "worker-died", f"{died}; fewer jobs, days or tables may help")
    return Outcome("failed", "internal", "planning the week failed; the server's log has the details under the job's id")


def _broken(future: ProcessFuture[Any], folder: JobFolder) -> BaseException | None:
    """Return what became of the worker, None if it ended well; a mistake of ours is logged with its trace."""
    try:
        future.result()
    except (BrokenProcessPool, CancelledError, TimeoutError, ProcessExpired) as error:
        return error
    except Exception as error:
        log.exception("a solving process raised: job folder %s", folder.folder.name)
        return error
    return None


def _cut_short(folder: JobFolder, cancelled: bool) -> Outcome:
    answer = answer_of_ended(folder, "cancel" if cancelled else "time")
    if answer is not None:
        return Outcome("cancelled" if cancelled else "done", plan=answer)
    return Outcome("cancelled") if cancelled else Outcome("failed", "worker-died", "its time was up before the solve had begun")
