"""How far a job is that waits or runs, in words and figures."""

from __future__ import annotations

import json
from dataclasses import dataclass
from datetime import datetime

from service.documents.jobs.plan_words import above_cheapest
from service.page.jobs.listed_jobs import share
from service.page.wording import DASH, counted, minutes
from service.records.job import Job
from service.text import money
from service.weldments.asking.asked_rest import TIME_LIMIT_S


@dataclass(frozen=True, slots=True)
class JobProgress:
    """What is shown of a job that is open.

    Parameters
    ----------
    said : str
        How far it is in one sentence, read aloud now and then.
    facts : tuple of (name, value)
    best_cents : int or None
        Price of the best plan so far.
    spent_s, limit_s : float
        Seconds since it was started, and those it may take.
    """

    said: str
    facts: tuple[tuple[str, str], ...]
    best_cents: int | None
    spent_s: float
    limit_s: float


def progress_of(job: Job, currency: str, at: datetime) -> JobProgress:
    """Return how far an open job is at a moment."""
    limit_s = float(json.loads(job.request).get("time_limit_s", TIME_LIMIT_S))
    if job.started_at is None:
        return JobProgress("It waits for its turn.", (), None, 0.0, limit_s)
    spent_s = min(max(0.0, (at - job.started_at).total_seconds()), limit_s)
    event = job.progress or {}
    best, bound, gap = (event.get(name) for name in ("incumbent_cents", "bound_cents", "gap"))
    positions = event.get("positions") or 0
    tried = f"{event.get('positions_tried', 0):,} of {positions:,} so far" if positions else DASH
    facts = (
        ("best so far", DASH if best is None else money(best, currency)),
        ("no plan costs less than", DASH if not bound else money(bound, currency)),
        ("gap", DASH if gap is None else share(gap)),
        ("alternatives", str(event.get("alternatives", 0))),
        ("positions tried", tried),
        ("time", f"{minutes(spent_s)} of at most {minutes(limit_s)}"),
    )
    return JobProgress(_said(job, best, bound, event.get("alternatives", 0), currency), facts, best, spent_s, limit_s)


def _said(job: Job, best: int | None, bound: int | None, alternatives: int, currency: str) -> str:
    stopping = " It is being stopped; the best plan so far is kept." if job.cancel_asked else ""
    if best is None:
        return "No plan yet; what could hold it is being looked through." + stopping
    said = f"Best so far {money(best, currency)}"
    if bound is not None and bound >= best:
        return f"{said}, proved the cheapest; {counted(alternatives, 'alternative')} so far." + stopping
    above = above_cheapest(best, bound)
    return f"{said}{f', {above} possible' if above else ''}." + stopping
