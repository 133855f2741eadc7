"""Plans: ask for one, follow it, cancel it, re-plan it, ask why it is none other."""

from __future__ import annotations

from typing import Annotated

from fastapi import APIRouter, Header, Request
from fastapi.responses import JSONResponse, Response, StreamingResponse
from starlette.concurrency import run_in_threadpool

from service.documents.jobs.job import JobDocument
from service.documents.jobs.replan import ReplanBody
from service.documents.jobs.why import WhyBody, WhyDocument, why_document
from service.http.dependencies import ContextHere, PlanningHere
from service.http.guard.body import opened, read_body, sound
from service.http.guard.headers import event_number, must_be_fresh, wait_preferred
from service.http.jobs.client_presence import while_here
from service.http.jobs.event_stream import event_stream, until_ended
from service.http.jobs.job_replies import JobKey, Prefer, Urgency, answered_within, shown, submission_key
from service.http.reference.routes import accepts, answers, takes
from service.http.writes import asked_of

router = APIRouter(prefix="/v1/plans", tags=["plans"])
Fresh = Annotated[str | None, Header(alias="Cache-Control", description="`no-cache`: solve it even if it was solved before")]
_WHY = {"rank": 1, "pins": [{"item": "square-60", "part": "rail", "as": "side"}], "avoid": [{"row": 3}]}
_REPLAN = {"rank": 1, "without": {"items": {"stop-60-15": 1}, "holes": ["C9"]}}


@router.post(
    "",
    summary="Ask for a plan",
    responses=answers(202, 200, model=JobDocument),
    openapi_extra=accepts("request"),
    status_code=202,
)
async def submit_plan(
    request: Request,
    planning: PlanningHere,
    priority: Urgency = "interactive",
    prefer: Prefer = None,
    idempotency_key: JobKey = None,
    cache_control: Fresh = None,
) -> Response:
    """Take a request in. 202 with the job's address in `Location`, or 200 with the answer if `Prefer: wait=N` was long enough.

    A request that was solved before, with the same stock, rules, seed and release, is answered at once (200) by that answer:
    `answered_from` says by which job's. `Cache-Control: no-cache` has it solved all the same.
    """
    raw = await read_body(request, planning.settings)
    key, fresh = submission_key(request, idempotency_key, raw), must_be_fresh(cache_control)
    job = await while_here(request, planning.submit(raw, len(raw), key, priority=priority, fresh=fresh))
    return await answered_within(planning, job, prefer)


@router.get("/{id}", summary="A plan and how far it is", responses=answers(200, 404, model=JobDocument))
async def read_plan(id: str, planning: PlanningHere, prefer: Prefer = None) -> Response:
    """Return the job; with `Prefer: wait=N`, once it has ended or N seconds have passed."""
    wait = wait_preferred(prefer, planning.settings.wait)
    job = await run_in_threadpool(planning.job, id)
    return shown(job if wait is None or not job.open else await until_ended(planning, id, wait), wait)


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
    return here.streams.accepted(event_stream(here.planning, id, event_number(last_event_id)))


@router.delete("/{id}", summary="Cancel", responses=answers(202, 200, 404, model=JobDocument))
async def cancel_plan(request: Request, id: str, planning: PlanningHere, prefer: Prefer = None) -> Response:
    """Ask a job to stop; it keeps its best plan so far. 200 if it has ended, 202 while it is stopping."""
    return await answered_within(planning, await run_in_threadpool(planning.cancel, id, "plan", asked_of(request)), prefer)


@router.post(
    "/{id}/replan",
    summary="Plan again with something missing",
    responses=answers(202, 200, 404, 409, model=JobDocument),
    openapi_extra=takes(ReplanBody, _REPLAN, required=False),
    status_code=202,
)
async def replan(
    request: Request, id: str, planning: PlanningHere, prefer: Prefer = None, idempotency_key: JobKey = None
) -> Response:
    """Ask for a plan that changes as little as possible of one alternative of this one."""
    raw = await read_body(request, planning.settings, empty_allowed=True)
    key = submission_key(request, idempotency_key, id.encode() + b"\n" + raw)
    before = await run_in_threadpool(planning.job, id)
    changes = await run_in_threadpool(sound, raw) if raw.strip() else {}
    job = await while_here(request, planning.replan(before, changes, key))
    return await answered_within(planning, job, prefer)


@router.post(
    "/{id}/why",
    summary="Why not another choice?",
    responses=answers(200, 404, 409, model=WhyDocument),
    openapi_extra=takes(WhyBody, _WHY),
)
async def ask_why(request: Request, id: str, planning: PlanningHere) -> Response:
    """Say what the cheapest fixture with a choice forced costs more than an alternative of this plan, or why there is none."""
    raw = await read_body(request, planning.settings)
    job = await run_in_threadpool(planning.job, id)
    answer = await while_here(request, planning.why(job, await run_in_threadpool(opened, raw)))
    return JSONResponse(why_document(answer, planning.settings.currency), headers={"Cache-Control": "no-store"})
