"""What should we buy: the jobs that are expected, and the stock of their days."""

from __future__ import annotations

import time
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from datetime import date
from typing import Any

from inventory.errors import Fault, InvalidDocument
from inventory.stock import StockSnapshot
from service.documents import read_request
from service.documents.rule_books.known_books import BUILT_IN, Books
from service.documents.stockroom.advice import AdviceBody
from service.stockroom.stock_source import StockSource
from solver.advice import Advice, Task, TaskPlanner, advise
from solver.advice.values import with_own_free
from solver.deadline import Deadline
from solver.plans import Plan
from solver.request import Request


@dataclass(frozen=True, slots=True)
class ExpectedJob:
    """One past or expected request document, its name, and how often it comes."""

    name: str
    document: bytes | dict[str, Any]
    times: int


@dataclass(frozen=True, slots=True)
class JobsAdvice:
    """What to buy, and the jobs it is worked out for."""

    advice: Advice
    tasks: tuple[Task, ...]


def expected_jobs(body: AdviceBody) -> tuple[ExpectedJob, ...]:
    """Return the jobs of a question; one without a name is called by its place."""
    return tuple(
        ExpectedJob(each.name or f"job {number}", each.request, each.times) for number, each in enumerate(body.requests, 1)
    )


def tasks_of(
    jobs: Sequence[ExpectedJob], stock: StockSource, pointer: str = "/requests/{}/request", books: Books = BUILT_IN
) -> tuple[Task, ...]:
    """Return the jobs with the stock of their own days; raises InvalidDocument with every fault of every request.

    Faults are named under `pointer`, with the request's place in the list.
    """
    tasks: list[Task] = []
    faults: list[Fault] = []
    whole = stock.snapshot()
    for index, each in enumerate(jobs):
        try:
            request, _ = read_request(each.document, whole, books)
        except InvalidDocument as bad:
            faults += [fault.under(pointer.format(index)) for fault in bad.faults]
            continue
        days: tuple[date, date] | None = request.needed
        free = with_own_free(stock.snapshot(days) if days else whole, request.held)
        tasks.append(Task(each.name, replace(request, held={}), free, each.times))
    if faults:
        raise InvalidDocument(faults)
    return tuple(tasks)


def worked_out(
    planner: TaskPlanner,
    tasks: tuple[Task, ...],
    budget_cents: int,
    seconds: float,
    should_stop: Callable[[], bool] = lambda: False,
) -> JobsAdvice:
    """Return what to buy for these jobs, worked out in this process within so many seconds, or less if it should stop."""
    deadline = Deadline.on(time.monotonic, seconds, should_stop)
    # No single plan may take the time of all others: each job is planned several times over.
    slice_s = max(2.0, seconds / (4 * len(tasks)))

    def planned(request: Request, stock: StockSnapshot, *, deadline: Deadline) -> Plan:
        return planner(request, stock, deadline=deadline.within(min(request.time_limit_s, slice_s)))

    return JobsAdvice(advise(tasks, budget_cents, planner=planned, deadline=deadline), tasks)
