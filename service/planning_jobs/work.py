"""What is to be done for a job of each kind: its task for a solving process, and what has become of it."""

from __future__ import annotations

import json
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from datetime import date
from typing import Any, Protocol

from pebble import ProcessFuture

from inventory.stock import StockByDay, StockSnapshot
from service.documents.week.question import read_week
from service.planning_jobs.advice_child import advise_document
from service.planning_jobs.child import solve_document
from service.planning_jobs.content import content_of, days_of
from service.planning_jobs.job_folder import JobFolder
from service.planning_jobs.ledger_files import LedgerFiles
from service.planning_jobs.outcome import Outcome, advice_outcome, plan_outcome, week_outcome
from service.planning_jobs.planner import Planner
from service.planning_jobs.week_child import plan_week_document
from service.records.job import Job
from service.stockroom.kits import PlannedKit
from service.stockroom.stock_source import DaysStock, StockSource
from service.stockroom.weeks import FindPlan, plans_named

Task = tuple[Callable[..., None], tuple[Any, ...]]


class Work(Protocol):
    """The work of one job, with the stock of its days."""

    @property
    def content(self) -> str | None:
        """Fingerprint of all the answer depends on; None if it is not used again."""
        ...

    def task(self, planner: Planner, folder: JobFolder, ledgers: LedgerFiles | None) -> Task:
        """Return what a solving process does, and with what."""
        ...

    def outcome(self, future: ProcessFuture[Any], folder: JobFolder, cancelled: bool) -> Outcome | None:
        """Return how it ended; None if it never started because the pool broke."""
        ...


@dataclass(frozen=True, slots=True)
class PlanWork:
    """A request to be planned."""

    job: str
    text: str
    stock: StockSnapshot
    content: str | None

    def task(self, planner: Planner, folder: JobFolder, ledgers: LedgerFiles | None) -> Task:
        """Return the solve."""
        return solve_document, (planner, self.text, self.stock, folder, ledgers, self.job)

    def outcome(self, future: ProcessFuture[Any], folder: JobFolder, cancelled: bool) -> Outcome | None:
        """Return the plan, or why there is none."""
        return plan_outcome(future, folder, cancelled)


@dataclass(frozen=True, slots=True)
class AdviceWork:
    """A budget and jobs for which it is to be said what to buy."""

    text: str
    stock: DaysStock
    seconds: float
    content: str | None = None

    def task(self, planner: Planner, folder: JobFolder, ledgers: LedgerFiles | None) -> Task:
        """Return the working out."""
        return advise_document, (planner, self.text, self.stock, folder)

    def outcome(self, future: ProcessFuture[Any], folder: JobFolder, cancelled: bool) -> Outcome | None:
        """Return the advice, or why there is none."""
        return advice_outcome(future, folder, cancelled, self.seconds)


@dataclass(frozen=True, slots=True)
class WeekWork:
    """Jobs that share tables and pieces, with the plans they name."""

    text: str
    stock: StockByDay
    kits: Mapping[str, PlannedKit]
    content: str | None = None

    def task(self, planner: Planner, folder: JobFolder, ledgers: LedgerFiles | None) -> Task:
        """Return the planning of the week."""
        return plan_week_document, (planner, self.text, self.stock, self.kits, folder)

    def outcome(self, future: ProcessFuture[Any], folder: JobFolder, cancelled: bool) -> Outcome | None:
        """Return the planned week, or why there is none."""
        return week_outcome(future, folder, cancelled)


def work_of(job: Job, stock: StockSource, find_plan: FindPlan = lambda id: None) -> Work:
    """Return the work of a job, with the stock of its days and the plans it names as they are now.

    Raises
    ------
    InvalidDocument, StoreError
        The stock cannot be read.
    """
    document = json.loads(job.request)
    if job.kind == "advice":
        days = {found for each in document["requests"] if (found := days_of(each["request"])) is not None}
        taken = DaysStock({each: stock.snapshot(each) for each in days}, stock.snapshot())
        return AdviceWork(job.request, taken, float(document["time_limit_s"]))
    if job.kind == "week":
        question = read_week(document)
        kits = {id: kit for id in plans_named(question) if (kit := find_plan(id)) is not None}
        return WeekWork(job.request, stock.by_day(question.span), kits)
    free = stock.snapshot(days_of(document))
    return PlanWork(job.id, job.request, free, content_of(document, free.version, date.today()))
