"""Processes beside the solving ones, for what may take long to read, to check, to advise on or to answer.

The server itself stays quick."""

from __future__ import annotations

import threading
import time
from collections.abc import Callable, Mapping
from concurrent.futures import TimeoutError
from dataclasses import dataclass
from typing import Any, TypeVar

from pebble import ProcessExpired

from inventory.errors import Fault, InvalidDocument
from inventory.stock import StockSnapshot
from service.documents import read_request
from service.errors import TaskDied, TaskOverdue, TooManyQuestions
from service.planning_jobs.planner import Planner
from service.planning_jobs.worker_pool import WorkerPool
from service.stockroom.advice import JobsAdvice, worked_out
from solver.advice import Task
from solver.checks import Report, check
from solver.deadline import Deadline
from solver.plans import Plan
from solver.request import Request

T = TypeVar("T")
QUICK_BYTES = 16_000
MOST_QUESTIONS = 4
"""So many questions about plans are worked on or wait at once."""
START_S = 10.0
"""Advice may overrun, and a process may have to start, by so much before it is ended."""


@dataclass(frozen=True, slots=True)
class ReadRequest:
    """A request and what is odd about it, or its faults."""

    request: Request | None
    warnings: tuple[str, ...] = ()
    faults: tuple[Fault, ...] = ()


class SideTasks:
    """Two processes that read and check, one that advises, one that answers questions about plans, started when first needed.

    Parameters
    ----------
    limit_s : float
        Reading or a check that takes longer is ended.
    planner : Planner
        Makes the plans that advice is worked out from.
    """

    def __init__(self, limit_s: float, planner: Planner) -> None:
        self._limit_s, self._planner = limit_s, planner
        self._pool = WorkerPool(2, ("solver.checks", "service.planning_jobs.side_tasks"))
        self._advisers = WorkerPool(1, (planner.__module__, "service.stockroom.advice"))
        self._planners = WorkerPool(1, (planner.__module__, "service.planning_jobs.side_tasks"))
        self._questions = threading.BoundedSemaphore(MOST_QUESTIONS)

    def read(self, document: Any, stock: StockSnapshot, size: int) -> tuple[Request, tuple[str, ...]]:
        """Return a request and what is odd about it; a small one (`size` in bytes) is read here and now.

        Raises
        ------
        InvalidDocument
            With every fault.
        TaskOverdue, TaskDied
            It takes too long, or the process ends.
        """
        small = size <= QUICK_BYTES
        found = read_aside(document, stock) if small else self._done("reading", read_aside, document, stock)
        if found.request is None:
            raise InvalidDocument(found.faults)
        return found.request, found.warnings

    def check(self, request: Request, stock: StockSnapshot, plan: Mapping[str, Any]) -> Report:
        """Return the report of an independent check; raises TaskOverdue, TaskDied."""
        return self._done("the check", check, request, stock, plan)

    def advise(self, tasks: tuple[Task, ...], budget_cents: int, seconds: float) -> JobsAdvice:
        """Return what to buy, worked out within so many seconds; raises TaskOverdue, TaskDied."""
        future = self._advisers.run(worked_out, (self._planner, tasks, budget_cents, seconds), seconds + START_S)
        try:
            advice: JobsAdvice = future.result()
        except TimeoutError:
            raise TaskOverdue(f"no advice within {seconds:g} s; fewer requests, or a larger time_limit_s") from None
        except ProcessExpired as died:
            raise TaskDied("the advising process", died.exitcode) from None
        return advice

    def plan(self, request: Request, stock: StockSnapshot) -> Plan:
        """Return the plan of a request that a question comes down to, made within its time limit.

        Raises
        ------
        TooManyQuestions, TaskOverdue, TaskDied
        """
        if not self._questions.acquire(blocking=False):
            raise TooManyQuestions(MOST_QUESTIONS)
        try:
            future = self._planners.run(planned_aside, (self._planner, request, stock), request.time_limit_s + START_S)
            plan: Plan = future.result()
        except TimeoutError:
            raise TaskOverdue(f"no answer within {request.time_limit_s:g} s") from None
        except ProcessExpired as died:
            raise TaskDied("the answering process", died.exitcode) from None
        finally:
            self._questions.release()
        return plan

    def stop(self) -> None:
        """End the processes."""
        self._planners.stop()
        self._pool.stop()
        self._advisers.stop()

    def _done(self, what: str, task: Callable[..., T], *arguments: Any) -> T:
        found: T = self._pool.answer(what, task, arguments, self._limit_s)
        return found


def planned_aside(planner: Planner, request: Request, stock: StockSnapshot) -> Plan:
    """Plan a request within its time limit, in this process."""
    return planner(request, stock, deadline=Deadline.on(time.monotonic, request.time_limit_s))


def read_aside(document: Any, stock: StockSnapshot) -> ReadRequest:
    """Read a request; faults are returned, since an exception with values of its own does not travel between processes."""
    try:
        request, warnings = read_request(document, stock)
    except InvalidDocument as bad:
        return ReadRequest(None, faults=bad.faults)
    return ReadRequest(request, tuple(str(warning) for warning in warnings))
