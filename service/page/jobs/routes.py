"""The list of jobs."""

from __future__ import annotations

from typing import Annotated

from fastapi import APIRouter, Query, Request
from fastapi.responses import Response

from service.http.dependencies import PlanningHere
from service.http.pages import Page
from service.page.frame import page
from service.records.job import STATES, State, WantedJobs

router = APIRouter(include_in_schema=False)
_ON_ONE_PAGE = 25


@router.get("/")
def show_jobs(
    request: Request,
    planning: PlanningHere,
    name: Annotated[str, Query(max_length=200)] = "",
    state: Annotated[State | None, Query()] = None,
    cursor: Annotated[str | None, Query(max_length=500)] = None,
) -> Response:
    """Show jobs, newest first."""
    asked = Page.asked(cursor, _ON_ONE_PAGE)
    wanted = WantedJobs((state,) if state is not None else (), None, "plan", name or None, None, None)
    found = planning.records.find(wanted, asked.place, asked.fetched)
    listed = asked.document("jobs", found, lambda each: each.place, lambda each: each)
    values = {"jobs": listed["jobs"], "next": listed["next"], "name": name, "state": state, "states": STATES}
    return page(request, "jobs/list.html", block="list", **values)
