"""Weeks: many jobs on the same tables and pieces. A job like a plan: ask, wait, look again; then promise its pieces."""

from __future__ import annotations

from fastapi import APIRouter, Request
from fastapi.responses import Response
from starlette.concurrency import run_in_threadpool

from inventory.store import Connection
from service.documents.jobs.job import WeekJobStateDocument
from service.documents.week.question import EXAMPLE, WeekDocument
from service.documents.week.reserved import ReservedWeekDocument, ReserveWeekBody, reserved_week_document
from service.drawings.weeks.chart import week_chart
from service.errors import NoPlanToAsk
from service.http.dependencies import PlanningHere, StoreHere
from service.http.guard.body import read_body
from service.http.guard.headers import wait_preferred
from service.http.jobs.client_presence import while_here
from service.http.jobs.event_stream import until_ended
from service.http.jobs.job_replies import Prefer, Urgency, answered_within, shown, submission_key
from service.http.parameters import Key
from service.http.reference.routes import answers, takes
from service.http.replies import Reply, answered
from service.http.writes import asked_of, write_of, write_once
from service.stockroom.expiry import with_overdue_expired
from service.stockroom.week_reservations import promise_week

router = APIRouter(prefix="/v1/weeks", tags=["weeks"])
_HEADERS = ("Location", "Preference-Applied", "Retry-After")
_TAKEN = answers(202, 200, model=WeekJobStateDocument, headers=_HEADERS, problems=("worker-died",))
_CHART = answers(200, media="image/svg+xml", problems=("conflict",))


@router.post("", summary="Plan a week", responses=_TAKEN, openapi_extra=takes(WeekDocument, EXAMPLE), status_code=202)
async def submit_week(
    request: Request,
    planning: PlanningHere,
    priority: Urgency = "interactive",
    prefer: Prefer = None,
    key: Key = None,
) -> Response:
    """Ask which job stands on which table on which days with which kit, so that cost, lateness and re-setting are least.

    Jobs name finished plans or have requests, which are planned first. 202 with its address in `Location`, or 200 with the answer
    if `Prefer: wait=N` was long enough.
    """
    raw = await read_body(request, planning.settings)
    given = submission_key(request, key, b"week\n" + raw)
    job = await while_here(request, planning.plan_week(raw, given, priority=priority))
    return await answered_within(planning, job, prefer)


@router.get("/{id}", summary="A week and how far it is", responses=answers(200, model=WeekJobStateDocument, headers=_HEADERS))
async def read_week(id: str, planning: PlanningHere, prefer: Prefer = None) -> Response:
    """Return the job; with `Prefer: wait=N`, once it has ended or N seconds have passed."""
    wait = wait_preferred(prefer, planning.settings.wait)
    job = await run_in_threadpool(planning.job, id, "week")
    return shown(job if wait is None or not job.open else await until_ended(planning, id, wait), wait)


@router.delete("/{id}", summary="Cancel", responses=answers(202, 200, model=WeekJobStateDocument, headers=_HEADERS))
async def cancel_week(request: Request, id: str, planning: PlanningHere, prefer: Prefer = None) -> Response:
    """Ask a job to stop; it keeps the best week so far. 200 if it has ended, 202 while it is stopping."""
    return await answered_within(planning, await run_in_threadpool(planning.cancel, id, "week", asked_of(request)), prefer)


@router.get("/{id}/chart", summary="A week as a chart", responses=_CHART)
async def read_week_chart(id: str, planning: PlanningHere) -> Response:
    """Return the planned week as SVG: tables and days, jobs, what stays, what is late, pieces that run short."""

    def draw() -> str:
        job = planning.job(id, "week")
        if job.plan is None:
            raise NoPlanToAsk(job.state)
        return week_chart(job.plan, planning.settings.currency)

    return Response(await run_in_threadpool(draw), media_type="image/svg+xml", headers={"Cache-Control": "no-store"})


@router.post(
    "/{id}/reserve",
    summary="Reserve a week",
    status_code=201,
    responses=answers(201, model=ReservedWeekDocument, problems=("short", "conflict")),
    openapi_extra=takes(ReserveWeekBody, {"who": "planner", "why": "week 9"}),
)
async def reserve_week(request: Request, id: str, store: StoreHere, planning: PlanningHere, key: Key = None) -> Response:
    """Promise the pieces of every job over its days, or of none; 409 lists what is short if the stock changed meanwhile."""
    write = await write_of(request)

    def act() -> Reply:
        job = planning.job(id, "week")
        note = write.note(write.read(ReserveWeekBody))
        week = job.plan
        if week is None:
            raise NoPlanToAsk(job.state)

        def action(connection: Connection) -> Reply:
            made = promise_week(connection, f"week {id}", week, planning.kit, note, write.today)
            return Reply(reserved_week_document(made), 201)

        return with_overdue_expired(store, write.at, write.today, lambda: write_once(store, write, action))

    return await answered(act)
