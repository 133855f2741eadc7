"""A week on one shelf: the plans of its jobs found or made, the stock of its days, the week planned and checked."""

from __future__ import annotations

import time
from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from typing import Any, Protocol

from inventory import limits
from inventory.errors import Fault, InvalidDocument, refuse
from inventory.stock import StockByDay, StockSnapshot
from service.documents import plan_document, read_plan, read_request
from service.documents.rule_books.known_books import BUILT_IN, Books
from service.documents.week.answer import WeekJobPlan, week_plan_document
from service.documents.week.question import WeekDocument, WeekJobDocument
from service.errors import FailedWeekCheck
from service.stockroom.kits import PlannedKit
from solver.checks.week import check_week
from solver.deadline import Deadline
from solver.plans import Plan
from solver.request import Request
from solver.rule_book import VALUES
from solver.rule_book.book import RuleBook
from solver.week.set_ups import WeekShelf, choices_of_plan, without_useless
from solver.week.spells import spells
from solver.week.values import Week, WeekJob

MOST_WAYS = 60_000
"""Kits, places and days together, over all jobs: a model of more takes minutes to write down."""
FindPlan = Callable[[str], PlannedKit | None]


class RequestPlanner(Protocol):
    """Whoever plans the requests of a week."""

    def __call__(self, request: Request, stock: StockSnapshot, *, deadline: Deadline) -> Plan:
        """Return the plan of a request."""
        ...


@dataclass(frozen=True, slots=True)
class WeekInHand:
    """A week with the plans of its jobs and the stock of its days, ready to be planned."""

    question: WeekDocument
    week: Week
    jobs: tuple[WeekJobPlan, ...]
    stock: StockByDay


def seconds_of(question: WeekDocument) -> float:
    """Return how long a week may take with the requests it has to plan first, s."""
    asked = [job.request.get("time_limit_s", 20.0) for job in question.jobs if job.request is not None]
    return question.time_limit_s + sum(each for each in asked if isinstance(each, int | float))


def plans_named(question: WeekDocument) -> list[str]:
    """Return the ids of the plans a week names, each once."""
    return list(dict.fromkeys(job.plan for job in question.jobs if isinstance(job.plan, str)))


def week_faults(question: WeekDocument, stock: StockSnapshot, find_plan: FindPlan, books: Books = BUILT_IN) -> Iterator[Fault]:
    """Yield what is wrong with the jobs of a week: requests that cannot be read, plans that are not there."""
    for k, job in enumerate(question.jobs):
        try:
            if job.request is not None:
                read_request(job.request, stock, books)
            else:
                _named_plan(job, find_plan)
        except InvalidDocument as bad:
            yield from (fault.under(f"/jobs/{k}/{'plan' if job.request is None else 'request'}") for fault in bad.faults)


def week_in_hand(
    question: WeekDocument,
    stock: StockByDay,
    find_plan: FindPlan,
    planner: RequestPlanner,
    should_stop: Callable[[], bool] = lambda: False,
    books: Books = BUILT_IN,
) -> WeekInHand:
    """Find the plans of a week's jobs and make those of its requests.

    Requests are planned with the pieces of each item that are free on the best of the days; the week then keeps to every day's.

    Raises
    ------
    InvalidDocument
        With every fault.
    """
    refuse(week_faults(question, stock.whole, find_plan, books))
    shelf = WeekShelf([stock.whole.tables[id] for id in question.tables], stock.whole.tables, stock.whole.items)
    best_day = _best_day(stock)
    planned: list[WeekJobPlan] = []
    jobs: list[WeekJob] = []
    faults: list[Fault] = []
    for k, job in enumerate(question.jobs):
        if job.request is None:
            found, asked = _named_plan(job, find_plan), None
        else:
            asked, _ = read_request(job.request, stock.whole, books)
            ends = Deadline.on(time.monotonic, asked.time_limit_s, should_stop)
            plan = planner(asked, best_day, deadline=ends)
            found = WeekJobPlan(job.id, job.name or asked.weldment.name, None, plan, plan_document(plan), True, asked.tables)
        planned.append(found)
        closed = frozenset() if asked is None else asked.without.holes
        try:
            choices = choices_of_plan(job.id, found.plan.alternatives, _rules(found.plan), shelf, found.tables, closed)
        except InvalidDocument as bad:
            faults += [fault.under(f"/jobs/{k}/plan") for fault in bad.faults]
            continue
        release = job.release or question.days[0]
        jobs.append(WeekJob(job.id, release, job.due, job.days, job.late_cents_per_day, choices))
    refuse(faults)
    most = {table.id: table.max_load_kg for table in shelf.tables}
    week = Week(tuple(question.days), without_useless(jobs), stock.free, most, question.seed)
    ways = sum(len(job.choices) * sum(1 for _ in spells(week, job)) for job in week.jobs)
    if ways > MOST_WAYS:
        wrong = f"{ways:,} ways to place the jobs: kits, places and days together"
        refuse([Fault("/jobs", wrong, f"at most {MOST_WAYS:,}: fewer jobs, days or tables, or plans with fewer alternatives")])
    return WeekInHand(question, week, tuple(planned), stock)


def planned_week(hand: WeekInHand, deadline: Deadline) -> dict[str, Any]:
    """Return the document of the best week found by a deadline; raises FailedWeekCheck."""
    from solver.weeks import plan_week

    began = deadline.seconds_left()
    prices = {id: item.price_cents for id, item in hand.stock.whole.items.items()}
    answer = plan_week(hand.week, deadline, hand.question.work_limit, prices)
    document = week_plan_document(hand.question, hand.week, hand.jobs, answer, hand.stock, began - deadline.seconds_left())
    plans = {job.id: job.document for job in hand.jobs}
    named = {job.id: job.tables for job in hand.jobs if job.tables is not None}
    report = check_week(hand.question.model_dump(mode="json"), plans, hand.stock, document, named)
    if not report.ok:
        raise FailedWeekCheck(f"{found.rule} {found.subject}: {found.text}" for found in report.failed)
    return document


def _named_plan(job: WeekJobDocument, find_plan: FindPlan) -> WeekJobPlan:
    """Return a job with the plan it names or holds; raises InvalidDocument."""
    if isinstance(job.plan, dict):
        plan = read_plan(job.plan)
        found = WeekJobPlan(job.id, job.name or job.id, None, plan, job.plan)
    else:
        kit = find_plan(job.plan or "")
        if kit is None:
            raise InvalidDocument(
                [Fault("", f"there is no plan {limits.shown(job.plan)} with an answer", "the id of a finished plan")]
            )
        request = kit.request or {}
        name = str((request.get("weldment") or {}).get("name") or "")
        tables = request.get("tables")
        found = WeekJobPlan(
            job.id,
            job.name or name or job.id,
            kit.id,
            kit.plan,
            plan_document(kit.plan),
            tables=None if tables is None else tuple(tables),
        )
    if not found.plan.alternatives:
        raise InvalidDocument([Fault("", "the plan has no alternative", "a plan with an answer")])
    return found


def _rules(plan: Plan) -> RuleBook:
    """Return the rules a plan was made by; those that are no more are passed over."""
    return RuleBook({name: value for name, value in plan.rules.items() if name in VALUES})


def _best_day(stock: StockByDay) -> StockSnapshot:
    """Return the stock with the pieces of each item that are free on the best of the days."""
    lines = {
        id: replace(line, reserved=max(0, line.count - line.out_of_service - max(stock.free[id], default=0)))
        for id, line in stock.whole.lines.items()
    }
    return replace(stock.whole, lines=lines)
