"""Plans: ask for one, list them, follow one, cancel it, re-plan it, ask why it is none other."""

from __future__ import annotations

from dataclasses import asdict
from typing import Annotated, Any

from fastapi import APIRouter, Header, Query, Request
from fastapi.responses import JSONResponse, Response, StreamingResponse
from starlette.concurrency import run_in_threadpool

from service.documents.jobs.job import JobDocument, JobPageDocument, JobSummaryDocument, job_weldment
from service.documents.jobs.replan import ReplanBody
from service.documents.jobs.why import WhyBody, WhyDocument, why_document
from service.documents.stockroom.days import GivenDays
from service.http.dependencies import ContextHere, PlanningHere
from service.http.guard.body import opened, read_body, sound
from service.http.guard.headers import event_number, must_be_fresh, wait_preferred
from service.http.jobs.client_presence import while_here
from service.http.jobs.event_stream import STREAMED, event_stream, until_ended
from service.http.jobs.job_replies import JOB_HEADERS, Prefer, Urgency, answered_within, shown, submission_key
from service.http.pages import Page
from service.http.parameters import Cursor, Key, Limit, Since, Until
from service.http.reference.routes import EVENTS, accepts, answers, takes
from service.http.replies import Reply, answered
from service.http.writes import asked_of
from service.records.job import JobKind, JobSummary, State, WantedJobs
from solver.plans import Status

router = APIRouter(prefix="/v1/plans", tags=["plans"])
Fresh = Annotated[str | None, Header(alias="Cache-Control", description="`no-cache`: solve it even if it was solved before")]
JobStates = Annotated[list[State] | None, Query(description="only jobs in one of these states")]
JobStatus = Annotated[Status | None, Query(description="only jobs whose plan has this status")]
OfJobKind = Annotated[JobKind, Query(description="jobs with this kind of answer")]
NamePart = Annotated[str | None, Query(max_length=200, description="part of the weldment's name, in any case")]
_TAKEN = answers(202, 200, model=JobDocument, headers=JOB_HEADERS, problems=("worker-died",))
_SHOWN = answers(200, model=JobDocument, headers=JOB_HEADERS)
LastEvent = Annotated[
    str | None, Header(alias="Last-Event-ID", description="number of the last event that was heard: goes on after it")
]
_WHY = {"rank": 1, "pins": [{"item": "square-60", "part": "rail", "as": "side"}], "avoid": [{"row": 3}]}
_REPLAN = {"rank": 1, "without": {"items": {"stop-60-15": 1}, "holes": ["C9"]}}


@router.post(
    "",
    summary="Ask for a plan",
    responses=_TAKEN,
    openapi_extra=accepts("request"),
    status_code=202,
)
async def submit_plan(
    request: Request,
    planning: PlanningHere,
    priority: Urgency = "interactive",
    prefer: Prefer = None,
    key: Key = None,
    cache_control: Fresh = None,
) -> Response:
    """Take a request in. 202 with the job's address in `Location`, or 200 with the answer if `Prefer: wait=N` was long enough.

    A request that was solved before, with the same stock, rules, seed and release, is answered at once (200) by that answer:
    `answered_from` says by which job's. `Cache-Control: no-cache` has it solved all the same.
    """
    raw = await read_body(request, planning.settings)
    given, fresh = submission_key(request, key, raw), must_be_fresh(cache_control)
    job = await while_here(request, planning.submit(raw, len(raw), given, priority=priority, fresh=fresh))
    return await answered_within(planning, job, prefer)


@router.get("", summary="List plans", responses=answers(200, model=JobPageDocument))
async def list_plans(
    planning: PlanningHere,
    state: JobStates = None,
    status: JobStatus = None,
    kind: OfJobKind = "plan",
    name: NamePart = None,
    since: Since = None,
    until: Until = None,
    cursor: Cursor = None,
    limit: Limit = 100,
) -> Response:
    """Return a page of jobs, newest first, without their plans; `since` and `until` are about when they were asked for."""

    def act() -> Reply:
        page = Page.asked(cursor, limit)
        wanted = WantedJobs(tuple(state or ()), status, kind, name, since, until)
        found = planning.records.find(wanted, page.place, page.fetched)
        return Reply(page.document("jobs", found, lambda each: each.place, _summary))

    return await answered(act)


@router.get("/{id}", summary="A plan and how far it is", responses=_SHOWN)
async def read_plan(id: str, planning: PlanningHere, prefer: Prefer = None) -> Response:
    """Return the job; with `Prefer: wait=N`, once it has ended or N seconds have passed."""
    wait = wait_preferred(prefer, planning.settings.wait)
    job = await run_in_threadpool(planning.job, id)
    return shown(job if wait is None or not job.open else await until_ended(planning, id, wait), wait)


@router.get(
    "/{id}/events",
    summary="Progress, as it is made",
    responses=answers(200, media=EVENTS),
    response_class=StreamingResponse,
)
async def follow_plan(id: str, here: ContextHere, last_event_id: LastEvent = None) -> Response:
    """Stream every better plan and every better bound while the job runs, as server-sent events: `progress`, then one `end`."""
    await run_in_threadpool(here.planning.job, id)
    return here.streams.accepted(event_stream(here.planning, id, event_number(last_event_id)))


@router.head("/{id}/events", include_in_schema=False)
async def follow_plan_headers(id: str, planning: PlanningHere) -> Response:
    """Return the headers of a job's progress, whose body would go on for as long as the job runs."""
    await run_in_threadpool(planning.job, id)
    return Response(headers=STREAMED, media_type=EVENTS)


@router.delete("/{id}", summary="Cancel", responses=answers(202, 200, model=JobDocument, headers=JOB_HEADERS))
async def cancel_plan(request: Request, id: str, planning: PlanningHere, prefer: Prefer = None) -> Response:
    """Ask a job to stop; it keeps its best plan so far. 200 if it has ended, 202 while it is stopping."""
    return await answered_within(planning, await run_in_threadpool(planning.cancel, id, "plan", asked_of(request)), prefer)


@router.post(
    "/{id}/replan",
    summary="Plan again with something missing",
    responses=answers(202, 200, model=JobDocument, headers=JOB_HEADERS, problems=("conflict", "worker-died")),
    openapi_extra=takes(ReplanBody, _REPLAN, required=False),
    status_code=202,
)
async def replan(request: Request, id: str, planning: PlanningHere, prefer: Prefer = None, key: Key = None) -> Response:
    """Ask for a plan that changes as little as possible of one alternative of this one."""
    raw = await read_body(request, planning.settings, empty_allowed=True)
    given = submission_key(request, key, id.encode() + b"\n" + raw)
    before = await run_in_threadpool(planning.job, id)
    changes = await run_in_threadpool(sound, raw) if raw.strip() else {}
    job = await while_here(request, planning.replan(before, changes, given))
    return await answered_within(planning, job, prefer)


@router.post(
    "/{id}/why",
    summary="Why not another choice?",
    responses=answers(200, model=WhyDocument, problems=("conflict", "worker-died")),
    openapi_extra=takes(WhyBody, _WHY),
)
async def ask_why(request: Request, id: str, planning: PlanningHere) -> Response:
    """Say what the cheapest fixture with a choice forced costs more than an alternative of this plan, or why there is none."""
    raw = await read_body(request, planning.settings)
    job = await run_in_threadpool(planning.job, id)
    answer = await while_here(request, planning.why(job, await run_in_threadpool(opened, raw)))
    return JSONResponse(why_document(answer, planning.settings.currency), headers={"Cache-Control": "no-store"})


def _summary(job: JobSummary) -> dict[str, Any]:
    first, last = job.asked.needed_from, job.asked.needed_to
    needed = None if first is None or last is None else GivenDays(first=first, last=last)
    figures = {"quantity": job.asked.quantity, "needed": needed, **asdict(job.answer)}
    figures["weldment"] = job_weldment(job.weldment, job.weldment_version)
    plain = {name: getattr(job, name) for name in JobSummaryDocument.model_fields if name not in figures}
    return JobSummaryDocument(**plain, **figures).plain()
