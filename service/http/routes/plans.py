"""Plans: ask for one, follow it, cancel it, re-plan it, ask why it is none other."""

from __future__ import annotations

import hashlib
from collections.abc import Mapping
from typing import Annotated, Any

from fastapi import APIRouter, Header, Request
from fastapi.responses import JSONResponse, Response, StreamingResponse
from starlette.concurrency import run_in_threadpool

from service.documents.jobs.job import JobDocument
from service.documents.jobs.replan import ReplanBody
from service.documents.jobs.why import WhyBody, WhyDocument, why_document
from service.http.dependencies import ContextHere, PlanningHere
from service.http.event_stream import event_stream, newest_progress, until_ended
from service.http.guard.body import opened, read_body, sound
from service.http.guard.headers import event_number, key_given, wait_preferred
from service.http.problems import HttpProblem
from service.http.reference.routes import accepts, answers, takes
from service.http.writes import asked_of, key_of_its_own
from service.planning_jobs.planning_service import PlanningService, SubmissionKey
from service.records.job import Failure, Job

router = APIRouter(prefix="/v1/plans", tags=["plans"])
Prefer = Annotated[str | None, Header(description="`wait=N`: hold the request open for up to N seconds", examples=["wait=20"])]
Key = Annotated[
    str | None, Header(description="makes asking again safe: the same key gives the same job", examples=["post-118-a"])
]
_WHY = {"rank": 1, "pins": [{"item": "square-60", "part": "rail", "as": "side"}], "avoid": [{"row": 3}]}
_REPLAN = {"rank": 1, "without": {"items": {"stop-60-15": 1}, "holes": ["C9"]}}


@router.post(
    "",
    summary="Ask for a plan",
    responses=answers(202, 200, model=JobDocument),
    openapi_extra=accepts("request"),
    status_code=202,
)
async def submit_plan(request: Request, planning: PlanningHere, prefer: Prefer = None, idempotency_key: Key = None) -> Response:
    """Take a request in. 202 with the job's address in `Location`, or 200 with the answer if `Prefer: wait=N` was long enough."""
    raw = await read_body(request, planning.settings)
    key = _submission_key(request, idempotency_key, raw)
    job = await run_in_threadpool(lambda: planning.submit(opened(raw), len(raw), key))
    return await _taken_in(planning, job, prefer)


@router.get("/{id}", summary="A plan and how far it is", responses=answers(200, 404, model=JobDocument))
async def read_plan(id: str, planning: PlanningHere, prefer: Prefer = None) -> Response:
    """Return the job; with `Prefer: wait=N`, once it has ended or N seconds have passed."""
    wait = wait_preferred(prefer, planning.settings.wait)
    job = await run_in_threadpool(planning.job, id) if wait is None else await until_ended(planning, id, wait)
    return await _shown(planning, job, wait)


@router.get(
    "/{id}/events",
    summary="Progress, as it is made",
    responses={
        200: {"content": {"text/event-stream": {}}, "description": "server-sent events: `progress`, then one `end`"},
        **answers(404),
    },
    response_class=StreamingResponse,
)
async def follow_plan(id: str, here: ContextHere, last_event_id: Annotated[str | None, Header()] = None) -> Response:
    """Stream every better plan and every better bound while the job runs: price, bound, gap, seconds."""
    await run_in_threadpool(here.planning.job, id)
    stream = event_stream(here.planning, id, event_number(last_event_id))
    headers = {"Cache-Control": "no-store", "X-Accel-Buffering": "no"}
    return StreamingResponse(here.streams.one_more(stream), media_type="text/event-stream", headers=headers)


@router.delete("/{id}", summary="Cancel", responses=answers(202, 200, 404, model=JobDocument))
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
    responses=answers(202, 200, 404, 409, model=JobDocument),
    openapi_extra=takes(ReplanBody, _REPLAN, required=False),
    status_code=202,
)
async def replan(
    request: Request, id: str, planning: PlanningHere, prefer: Prefer = None, idempotency_key: Key = None
) -> Response:
    """Ask for a plan that changes as little as possible of one alternative of this one."""
    raw = await read_body(request, planning.settings, empty_allowed=True)
    key = _submission_key(request, idempotency_key, id.encode() + b"\n" + raw)
    job = await run_in_threadpool(lambda: planning.replan(planning.job(id), sound(raw) if raw.strip() else {}, key))
    return await _taken_in(planning, job, prefer)


@router.post(
    "/{id}/why",
    summary="Why not another choice?",
    responses=answers(200, 404, 409, model=WhyDocument),
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


def _job_document(job: Job, progress: Mapping[str, Any] | None) -> dict[str, Any]:
    """Return a job as plain JSON values; `progress` is newer than the job's own if given."""
    plain = set(JobDocument.model_fields) - {"format", "progress", "plan", "problem"}
    document = JobDocument(**{name: getattr(job, name) for name in plain}).model_dump(mode="json")
    problem = None if job.failure is None else _failure_document(job.failure, job.id)
    return {**document, "progress": progress or job.progress, "plan": job.plan, "problem": problem}


def _failure_document(failure: Failure, id: str) -> dict[str, Any]:
    return {**HttpProblem(failure.kind, failure.detail, failure.faults).document(), "instance": f"/v1/plans/{id}"}


def _submission_key(request: Request, key: str | None, content: bytes) -> SubmissionKey:
    given, asked = key_given(key), asked_of(request)
    own = None if given is None else key_of_its_own(given, asked)
    return SubmissionKey(own, hashlib.sha256(content).hexdigest(), asked)
