"""Plans: ask for one, list them, follow one, cancel it, re-plan it, ask why it is none other."""

from __future__ import annotations

import hashlib
from collections.abc import Mapping
from typing import Annotated, Any, Literal

from fastapi import APIRouter, Header, Query, Request
from fastapi.responses import JSONResponse, Response, StreamingResponse
from starlette.concurrency import run_in_threadpool

from service.documents.jobs.job import JobDocument, JobPageDocument, JobSummaryDocument
from service.documents.jobs.replan import ReplanBody
from service.documents.jobs.why import WhyBody, WhyDocument, why_document
from service.http.dependencies import ContextHere, PlanningHere
from service.http.event_stream import event_stream, newest_progress, until_ended
from service.http.guard.body import opened, read_body, sound
from service.http.guard.headers import event_number, key_given, wait_preferred
from service.http.pages import Page
from service.http.parameters import Cursor, Key, Limit, Since, Until
from service.http.problems import HttpProblem
from service.http.reference.routes import EVENTS, accepts, answers, takes
from service.http.replies import Reply, answered
from service.http.writes import asked_of
from service.planning_jobs.planning_service import PlanningService, SubmissionKey
from service.records.job import Failure, Job, JobSummary, State, WantedJobs
from solver.plans import Status

router = APIRouter(prefix="/v1/plans", tags=["plans"])
Prefer = Annotated[str | None, Header(description="`wait=N`: hold the request open for up to N seconds", examples=["wait=20"])]
_JOB = ("Location", "Preference-Applied", "Retry-After", "Link")
JobStates = Annotated[list[State] | None, Query(description="only jobs in one of these states")]
JobStatus = Annotated[Status | None, Query(description="only jobs whose plan has this status")]
JobKind = Annotated[Literal["plan"] | None, Query(description="only jobs with this kind of answer")]
NamePart = Annotated[str | None, Query(max_length=200, description="part of the weldment's name, in any case")]
_STREAMED = {"Cache-Control": "no-store", "X-Accel-Buffering": "no"}
_TAKEN = answers(202, 200, model=JobDocument, headers=_JOB, problems=("worker-died",))
_SHOWN = answers(200, model=JobDocument, headers=_JOB)
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
async def submit_plan(request: Request, planning: PlanningHere, prefer: Prefer = None, key: Key = None) -> Response:
    """Take a request in. 202 with the job's address in `Location`, or 200 with the answer if `Prefer: wait=N` was long enough."""
    raw = await read_body(request, planning.settings)
    given = _submission_key(request, key, raw)
    job = await run_in_threadpool(lambda: planning.submit(opened(raw), len(raw), given))
    return await _taken_in(planning, job, prefer)


@router.get("", summary="List plans", responses=answers(200, model=JobPageDocument))
async def list_plans(
    planning: PlanningHere,
    state: JobStates = None,
    status: JobStatus = None,
    kind: JobKind = None,
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
    job = await run_in_threadpool(planning.job, id) if wait is None else await until_ended(planning, id, wait)
    return await _shown(planning, job, wait)


@router.get(
    "/{id}/events",
    summary="Progress, as it is made",
    responses=answers(200, media=EVENTS),
    response_class=StreamingResponse,
)
async def follow_plan(id: str, here: ContextHere, last_event_id: LastEvent = None) -> Response:
    """Stream every better plan and every better bound while the job runs, as server-sent events: `progress`, then one `end`."""
    await run_in_threadpool(here.planning.job, id)
    stream = event_stream(here.planning, id, event_number(last_event_id))
    return StreamingResponse(here.streams.one_more(stream), media_type=EVENTS, headers=_STREAMED)


@router.head("/{id}/events", include_in_schema=False)
async def follow_plan_headers(id: str, planning: PlanningHere) -> Response:
    """Return the headers of a job's progress, whose body would go on for as long as the job runs."""
    await run_in_threadpool(planning.job, id)
    return Response(headers=_STREAMED, media_type=EVENTS)


@router.delete("/{id}", summary="Cancel", responses=answers(202, 200, model=JobDocument, headers=_JOB))
async def cancel_plan(request: Request, id: str, planning: PlanningHere, prefer: Prefer = None) -> Response:
    """Ask a job to stop; it keeps its best plan so far. 200 if it has ended, 202 while it is stopping."""
    job = await run_in_threadpool(planning.cancel, id, asked_of(request))
    wait = wait_preferred(prefer, planning.settings.wait)
    if wait is not None and job.open:
        job = await until_ended(planning, id, wait)
    return await _shown(planning, job, wait, 202 if job.open else 200)


@router.post(
    "/{id}/replan",
    summary="Plan again with something missing",
    responses=answers(202, 200, model=JobDocument, headers=_JOB, problems=("conflict", "worker-died")),
    openapi_extra=takes(ReplanBody, _REPLAN, required=False),
    status_code=202,
)
async def replan(request: Request, id: str, planning: PlanningHere, prefer: Prefer = None, key: Key = None) -> Response:
    """Ask for a plan that changes as little as possible of one alternative of this one."""
    raw = await read_body(request, planning.settings, empty_allowed=True)
    given = _submission_key(request, key, id.encode() + b"\n" + raw)
    job = await run_in_threadpool(lambda: planning.replan(planning.job(id), sound(raw) if raw.strip() else {}, given))
    return await _taken_in(planning, job, prefer)


@router.post(
    "/{id}/why",
    summary="Why not another choice?",
    responses=answers(200, model=WhyDocument, problems=("conflict", "worker-died")),
    openapi_extra=takes(WhyBody, _WHY),
)
async def ask_why(request: Request, id: str, planning: PlanningHere) -> Response:
    """Say what the cheapest fixture with a choice forced costs more than an alternative of this plan, or why there is none."""
    raw = await read_body(request, planning.settings)
    answer = await run_in_threadpool(lambda: planning.why(planning.job(id), opened(raw)))
    return JSONResponse(why_document(answer, planning.settings.currency), headers={"Cache-Control": "no-store"})


async def _taken_in(planning: PlanningService, job: Job, prefer: str | None) -> Response:
    wait = wait_preferred(prefer, planning.settings.wait)
    if wait is None:
        return await _shown(planning, job, None, 202)
    job = await until_ended(planning, job.id, wait)
    return await _shown(planning, job, wait, 202 if job.open else 200)


async def _shown(planning: PlanningService, job: Job, wait: float | None, status: int = 200) -> Response:
    """Answer with a job: where it is, whether the wait that was asked for was given, the newest progress."""
    headers = {"Location": f"/v1/plans/{job.id}", "Cache-Control": "no-store"}
    if wait is not None:
        headers["Preference-Applied"] = f"wait={wait:g}"
    if job.open:
        headers["Retry-After"] = "1"
    if job.plan is not None and job.plan["alternatives"]:
        headers["Link"] = ", ".join(_sheet_link(job.id, one["rank"]) for one in job.plan["alternatives"])
    newest = await run_in_threadpool(newest_progress, planning, job)
    return JSONResponse(_job_document(job, newest), status, headers)


def _sheet_link(id: str, rank: int) -> str:
    return f'</v1/plans/{id}/alternatives/{rank}/sheet>; rel="alternate"; title="setup sheet, rank {rank}"'


def _summary(job: JobSummary) -> dict[str, Any]:
    return JobSummaryDocument(**{name: getattr(job, name) for name in JobSummaryDocument.model_fields}).plain()


def _job_document(job: Job, progress: Mapping[str, Any] | None) -> dict[str, Any]:
    """Return a job as plain JSON values; `progress` is newer than the job's own if given."""
    named = set(JobDocument.model_fields) - {"format", "progress", "plan", "problem"}
    document = JobDocument(**{name: getattr(job, name) for name in named}, progress=None, plan=None, problem=None).plain()
    problem = None if job.failure is None else _failure_document(job.failure, job.id)
    # Plan and progress are sent as they are kept: a plan has hundreds of kilobytes.
    return {**document, "progress": progress or job.progress, "plan": job.plan, "problem": problem}


def _failure_document(failure: Failure, id: str) -> dict[str, Any]:
    return {**HttpProblem(failure.kind, failure.detail, failure.faults).document(), "instance": f"/v1/plans/{id}"}


def _submission_key(request: Request, key: str | None, content: bytes) -> SubmissionKey:
    return SubmissionKey(key_given(key), hashlib.sha256(content).hexdigest(), asked_of(request))
