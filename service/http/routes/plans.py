"""Plans: ask for one, follow it, cancel it, re-plan it."""

from __future__ import annotations

from typing import Annotated

from fastapi import APIRouter, Depends, Header, Request
from fastapi.responses import JSONResponse, Response, StreamingResponse
from starlette.concurrency import run_in_threadpool

from service.documents.jobs import JobDocument, job_document
from service.http.dependencies import desk_of, streams_of
from service.http.event_stream import event_stream, newest_progress, until_ended
from service.http.guard.body import read_body
from service.http.guard.headers import event_number, key_given, wait_preferred
from service.http.reference import accepts, answers
from service.planning_jobs.desk import Desk
from service.planning_jobs.job import Job

router = APIRouter(prefix="/v1/plans", tags=["plans"])
DeskHere = Annotated[Desk, Depends(desk_of)]
Prefer = Annotated[str | None, Header(description="`wait=N`: hold the request open for up to N seconds", examples=["wait=20"])]
Key = Annotated[
    str | None, Header(description="makes asking again safe: the same key gives the same job", examples=["order-4711-a"])
]


@router.post(
    "",
    summary="Ask for a plan",
    responses=answers(202, 200, model=JobDocument),
    openapi_extra=accepts("request"),
    status_code=202,
)
async def ask(request: Request, desk: DeskHere, prefer: Prefer = None, idempotency_key: Key = None) -> Response:
    """Take a request in. 202 with the job's address in `Location`, or 200 with the answer if `Prefer: wait=N` was long enough."""
    raw = await read_body(request, desk.settings)
    job = await run_in_threadpool(desk.submit, raw, key_given(idempotency_key))
    return await _taken_in(desk, job, prefer)


@router.get("/{id}", summary="A plan and how far it is", responses=answers(200, 404, model=JobDocument))
async def read(id: str, desk: DeskHere, prefer: Prefer = None) -> Response:
    """Return the job; with `Prefer: wait=N`, once it has ended or N seconds have passed."""
    wait = wait_preferred(prefer, desk.settings.wait)
    job = await run_in_threadpool(desk.job, id) if wait is None else await until_ended(desk, id, wait)
    return await _shown(desk, job, wait)


@router.get(
    "/{id}/events",
    summary="Progress, as it is made",
    responses={
        200: {"content": {"text/event-stream": {}}, "description": "server-sent events: `progress`, then one `end`"},
        **answers(404),
    },
    response_class=StreamingResponse,
)
async def events(request: Request, id: str, desk: DeskHere, last_event_id: Annotated[str | None, Header()] = None) -> Response:
    """Stream the incumbent, the bound and the gap while the job runs."""
    await run_in_threadpool(desk.job, id)
    stream = event_stream(desk, id, event_number(last_event_id))
    headers = {"Cache-Control": "no-store", "X-Accel-Buffering": "no"}
    return StreamingResponse(streams_of(request).one_more(stream), media_type="text/event-stream", headers=headers)


@router.delete("/{id}", summary="Cancel", responses=answers(202, 200, 404, model=JobDocument))
async def cancel(id: str, desk: DeskHere, prefer: Prefer = None) -> Response:
    """Ask a job to stop; it keeps its best plan so far. 200 if it has ended, 202 while it is stopping."""
    job = await run_in_threadpool(desk.cancel, id)
    wait = wait_preferred(prefer, desk.settings.wait)
    if wait is not None and job.open:
        job = await until_ended(desk, id, wait)
    return await _shown(desk, job, wait, 202 if job.open else 200)


@router.post(
    "/{id}/replan",
    summary="Plan again with something missing",
    responses=answers(202, 200, 404, 409, model=JobDocument),
    openapi_extra=accepts("replan"),
    status_code=202,
)
async def replan(request: Request, id: str, desk: DeskHere, prefer: Prefer = None, idempotency_key: Key = None) -> Response:
    """Ask for a plan that changes as little as possible of one alternative of this one."""
    raw = await read_body(request, desk.settings, empty_allowed=True)
    job = await run_in_threadpool(desk.replan, id, raw, key_given(idempotency_key))
    return await _taken_in(desk, job, prefer)


async def _taken_in(desk: Desk, job: Job, prefer: str | None) -> Response:
    wait = wait_preferred(prefer, desk.settings.wait)
    if wait is None:
        return await _shown(desk, job, None, 202)
    job = await until_ended(desk, job.id, wait)
    return await _shown(desk, job, wait, 202 if job.open else 200)


async def _shown(desk: Desk, job: Job, wait: float | None, status: int = 200) -> Response:
    """Answer with a job: where it is, whether the wait that was asked for was given, the newest progress."""
    headers = {"Location": f"/v1/plans/{job.id}", "Cache-Control": "no-store"}
    if wait is not None:
        headers["Preference-Applied"] = f"wait={wait:g}"
    if job.open:
        headers["Retry-After"] = "1"
    newest = await run_in_threadpool(newest_progress, desk, job)
    return JSONResponse(job_document(job, newest), status, headers)
