"""How a job ended: what its worker left behind, and what became of the worker."""

from __future__ import annotations

import logging
from concurrent.futures import CancelledError, TimeoutError
from concurrent.futures.process import BrokenProcessPool
from dataclasses import dataclass, replace
from typing import Any

from pebble import ProcessExpired, ProcessFuture

from inventory.errors import Fault
from service.errors import how_it_ended
from service.planning_jobs.best_so_far import answer_of_ended
from service.planning_jobs.failed_checks import failed_checks
from service.planning_jobs.job_folder import JobFolder
from service.records.job import Failure, FailureKind, State
from solver.plans import Plan

log = logging.getLogger("holdwright.jobs")


@dataclass(frozen=True, slots=True)
class Outcome:
    """The state a job ends in, with the kind of failure and its detail, or the plan, or both; plans that failed their check."""

    state: State
    kind: FailureKind | None = None
    detail: str = ""
    plan: Plan | None = None
    faults: tuple[Fault, ...] = ()
    failed_checks: int = 0

    @property
    def failure(self) -> Failure | None:
        """What went wrong, None if nothing did."""
        return None if self.kind is None else Failure(self.kind, self.detail, self.faults)


def outcome(future: ProcessFuture[Any], folder: JobFolder, cancelled: bool) -> Outcome | None:
    """Return how a finished task ended; None if it never started because the pool broke."""
    found = _ending(future, folder, cancelled)
    return None if found is None else replace(found, failed_checks=failed_checks(folder))


def _ending(future: ProcessFuture[Any], folder: JobFolder, cancelled: bool) -> Outcome | None:
    """Say how a task ended.

    A plan that was handed over counts, whatever happened to the worker afterwards. A worker ended at its limit or after a
    cancel leaves the best plan so far, or the honest answer that nothing is known; one that died leaves the former beside its
    failure, marked as cut off.
    """
    try:
        future.result()
    except BrokenProcessPool:
        return None
    except (CancelledError, TimeoutError, ProcessExpired) as error:
        broken: BaseException | None = error
    except Exception as error:  # whatever the planner raised is a mistake of ours, recorded with its trace
        log.exception("a planner raised: job folder %s", folder.folder.name)
        broken = error
    else:
        broken = None
    plan = folder.plan("plan")
    if plan is not None:
        return Outcome("cancelled" if cancelled and plan.stopped_by == "cancel" else "done", plan=plan)
    if isinstance(broken, CancelledError | TimeoutError):
        return _cut_short(folder, cancelled)
    told = answer_of_ended(folder, "cancel")
    best = told if told is not None and told.alternatives else None
    if isinstance(broken, ProcessExpired):
        return Outcome("failed", "worker-died", how_it_ended(broken.exitcode), best)
    return Outcome("failed", "internal", "the planner failed; the server's log has the details under the job's id", best)


def _cut_short(folder: JobFolder, cancelled: bool) -> Outcome:
    answer = answer_of_ended(folder, "cancel" if cancelled else "time")
    if answer is not None:
        return Outcome("cancelled" if cancelled else "done", plan=answer)
    return Outcome("cancelled") if cancelled else Outcome("failed", "worker-died", "its time was up before the solve had begun")
