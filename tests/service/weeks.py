"""A bar and its plan in weeks: what the use case, both doors and the chart are tried with."""

from __future__ import annotations

import time
from dataclasses import replace
from datetime import date
from functools import cache
from typing import Any

from inventory.stock import StockByDay, StockSnapshot
from service.documents import plan_document, request_document
from service.documents.week.question import read_week
from service.stockroom.kits import PlannedKit
from service.stockroom.weeks import WeekInHand, planned_week, week_in_hand
from solver.deadline import Deadline
from solver.planning import plan
from solver.plans import Plan
from tests import builders as b

SHELF = b.shelf(
    *((replace(item, day_rate_cents=20), 12) for item in (b.stop(), b.stop("stop-20", face=20), b.rest(), b.down_clamp())),
    tables=(b.table(max_load_kg=300.0), b.table("T2", max_load_kg=300.0), b.table("T3", pitch=50, max_load_kg=300.0)),
)
REQUEST = b.request(b.weldment(b.bar(), name="bar"), 3, alternatives=2, time_limit_s=60)
DAYS = ("2027-03-04", "2027-03-05", "2027-03-08")


@cache
def bar_plan() -> Plan:
    """The plan of the bar, made once."""
    return plan(REQUEST, SHELF, deadline=Deadline.on(time.monotonic, 60))


def bar_kit() -> PlannedKit:
    """The plan as it is kept."""
    return PlannedKit("bar-plan", bar_plan(), request_document(REQUEST))


def week_question(*jobs: dict[str, Any], **changes: Any) -> dict[str, Any]:
    """A week of three days over a weekend; jobs name the bar's plan unless told otherwise."""
    listed = [{"id": f"job-{k}", "plan": "bar-plan", "due": DAYS[-1], **each} for k, each in enumerate(jobs, 1)]
    return {"format": "holdwright.week/1", "days": list(DAYS), "tables": ["T1"], "jobs": listed, **changes}


def stock_by_day(shelf: StockSnapshot = SHELF, days: int = 5) -> StockByDay:
    """The shelf, as free on each day."""
    return StockByDay.alike(shelf, days)


def in_hand(question: dict[str, Any], stock: StockByDay | None = None) -> WeekInHand:
    """The week with its plans."""
    asked = read_week(question, set(SHELF.tables))
    length = (asked.days[-1] - asked.days[0]).days + 1
    there = stock_by_day(days=length) if stock is None else stock
    return week_in_hand(asked, there, lambda id: bar_kit() if id == "bar-plan" else None, plan)


def answered(question: dict[str, Any], stock: StockByDay | None = None, seconds: float = 20.0) -> dict[str, Any]:
    """The planned week, checked."""
    return planned_week(in_hand(question, stock), Deadline.on(time.monotonic, seconds))


def plan_in_full() -> dict[str, Any]:
    """The bar's plan as a document."""
    return plan_document(bar_plan())


def day(text: str) -> date:
    """A day."""
    return date.fromisoformat(text)
