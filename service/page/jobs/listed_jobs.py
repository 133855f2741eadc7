"""What the list shows of each job, in words."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, datetime
from typing import Literal

from service.page.wording import DASH, counted, day
from service.records.job import JobSummary, State
from service.text import money
from solver.plans import Status

Sign = Literal["good", "bad", "open", ""]
STATES: Mapping[State, str] = {
    "queued": "queued",
    "running": "running",
    "done": "done",
    "failed": "failed",
    "cancelled": "cancelled",
}
"""States as the filter names them."""
STATUSES: Mapping[Status, str] = {
    "optimal": "optimal: proved the cheapest",
    "feasible": "feasible: the best found",
    "infeasible": "infeasible: there is no plan",
    "unknown": "unknown: neither a plan nor a proof",
}
"""Statuses as the filter names them."""
_SAID: Mapping[Status, tuple[Sign, str]] = {
    "optimal": ("good", "proved the cheapest"),
    "feasible": ("good", "the best found"),
    "infeasible": ("bad", "there is no plan"),
    "unknown": ("bad", "neither a plan nor a proof"),
}


@dataclass(frozen=True, slots=True)
class ListedJob:
    """One row of the list.

    Parameters
    ----------
    word, sign, said : str
        How far it is in one word, how that is marked, and what the word means.
    """

    job: JobSummary
    word: str
    sign: Sign
    said: str
    days: str
    price: str
    gap: str
    short: str
    age: str


def listed(job: JobSummary, currency: str, at: datetime) -> ListedJob:
    """Return the row of a job as it is at a moment."""
    word, sign, said = standing(job)
    best, gap = job.answer.total_cents, job.answer.gap
    if job.state == "running" and job.progress is not None:
        best, gap = job.progress.get("incumbent_cents"), job.progress.get("gap")
    return ListedJob(
        job, word, sign, said,
        days=days_asked(job.asked.needed_from, job.asked.needed_to),
        price=DASH if best is None else money(best, currency),
        gap=DASH if gap is None else share(gap),
        short=_short(job),
        age=age((at - job.created_at).total_seconds()),
    )  # fmt: skip


def standing(job: JobSummary) -> tuple[str, Sign, str]:
    """Return how far a job is: one word, its mark, what it means."""
    if job.state == "queued":
        return "queued", "open", "waits for its turn"
    if job.state == "running":
        stops = "is being stopped" if job.cancel_asked else "is being planned"
        return "running", "open", stops
    if job.state == "failed":
        return "failed", "bad", "the best plan so far was kept" if job.answer.total_cents is not None else "there is no plan"
    if job.state == "cancelled":
        return (
            "cancelled",
            "",
            "the best plan so far was kept" if job.answer.total_cents is not None else "no plan was found by then",
        )
    sign, said = _SAID[job.status or "unknown"]
    return job.status or "unknown", sign, said


def share(gap: float) -> str:
    """Return a gap in percent, rounded up, so that nothing but what is proved shows as none."""
    return f"{math.ceil(1000 * gap - 1e-9) / 10:.1f} %"


def days_asked(first: date | None, last: date | None) -> str:
    """Return the days hardware is needed on; empty if none are named."""
    if first is None or last is None:
        return ""
    if first == last:
        return day(first)
    if first.year == last.year:
        return f"{first:%a} {first.day} {first:%b} to {day(last)}"
    return f"{day(first)} to {day(last)}"


def age(seconds: float) -> str:
    """Return how long ago something was, in its largest unit."""
    for unit, each in (("day", 86400), ("h", 3600), ("min", 60)):
        if seconds >= (2 * each if unit == "day" else each):
            whole = int(seconds // each)
            return f"{counted(whole, 'day') if unit == 'day' else f'{whole} {unit}'} ago"
    return "just now"


def _short(job: JobSummary) -> str:
    pieces = job.answer.pieces_short
    if pieces is None:
        return DASH
    if job.answer.total_cents is not None:
        return f"{counted(pieces, 'piece')} to buy" if pieces else "none"
    return f"{counted(pieces, 'piece')} short"
