"""The list of jobs, and its rows that change while somebody looks at them."""

from __future__ import annotations

from typing import Annotated, Any, Literal
from urllib.parse import urlencode

from fastapi import APIRouter, Query, Request
from fastapi.responses import Response

from service.http.dependencies import PlanningHere
from service.http.pages import Page
from service.page.frame import page
from service.page.jobs.listed_jobs import STATES, STATUSES, listed
from service.planning_jobs.planning_service import PlanningService
from service.records.database import now
from service.records.job import JobSummary, State, WantedJobs
from solver.plans import Status

router = APIRouter(include_in_schema=False)
ON_ONE_PAGE = 25


@router.get("/")
def show_jobs(
    request: Request,
    planning: PlanningHere,
    name: Annotated[str, Query(max_length=200)] = "",
    state: Annotated[State | Literal[""], Query()] = "",
    status: Annotated[Status | Literal[""], Query()] = "",
    cursor: Annotated[str | None, Query(max_length=500)] = None,
) -> Response:
    """Show jobs, newest first, those that fit what is looked for."""
    asked = Page.asked(cursor, ON_ONE_PAGE)
    wanted = WantedJobs((state,) if state else (), status or None, "plan", name.strip() or None, None, None)
    found = asked.document("jobs", planning.records.find(wanted, asked.place, asked.fetched), lambda each: each.place, _as_it_is)
    kept = {key: value for key, value in (("name", name), ("state", state), ("status", status)) if value}
    more = {**kept, "cursor": found["next"]}
    return page(
        request, "jobs/list.html", block="list", **_rows(planning, found["jobs"]),
        name=name, state=state, answer=status, states=STATES, statuses=STATUSES, sought=bool(kept), paged=cursor is not None,
        first=f"/?{urlencode(kept)}" if kept else "/", older=f"/?{urlencode(more)}" if found["next"] else None,
    )  # fmt: skip


@router.get("/jobs/rows")
def show_job_rows(
    request: Request, planning: PlanningHere, of: Annotated[str, Query(max_length=33 * ON_ONE_PAGE)] = ""
) -> Response:
    """Answer with rows of the list as they are now: those of jobs that were open when they were looked at last.

    Parameters
    ----------
    of : str
        Their jobs' ids, a comma between two.
    """
    found = planning.records.summaries([id for id in of.split(",") if id][:ON_ONE_PAGE])
    return page(request, "jobs/rows.html", **_rows(planning, found))


def _rows(planning: PlanningService, jobs: list[JobSummary]) -> dict[str, Any]:
    at, currency = now(), planning.settings.currency
    rows = [listed(job, currency, at) for job in jobs]
    return {"rows": rows, "open_jobs": [job.id for job in jobs if job.open]}


def _as_it_is(job: JobSummary) -> JobSummary:
    return job
