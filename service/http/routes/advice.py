"""Advice: what to buy for some jobs within a budget. A job like a plan: ask, wait, look again."""

from __future__ import annotations

import json

from fastapi import APIRouter, Request
from fastapi.responses import Response
from starlette.concurrency import run_in_threadpool

from service.demo import MAIN_JOB, job_document
from service.documents.jobs.job import AdviceJobDocument
from service.documents.stockroom.advice import AdviceBody
from service.http.dependencies import PlanningHere
from service.http.guard.body import read_body
from service.http.guard.headers import wait_preferred
from service.http.jobs.client_presence import while_here
from service.http.jobs.event_stream import until_ended
from service.http.jobs.job_replies import Prefer, Urgency, answered_within, shown, submission_key
from service.http.parameters import Key
from service.http.reference.routes import answers, takes
from service.http.writes import asked_of

router = APIRouter(prefix="/v1/stock/advice", tags=["stock"])
_HEADERS = ("Location", "Preference-Applied", "Retry-After")
_TAKEN = answers(202, 200, model=AdviceJobDocument, headers=_HEADERS, problems=("worker-died",))
_ADVICE = {"budget_cents": 25000, "requests": [{"request": json.loads(job_document(MAIN_JOB)), "times": 12}]}


@router.post(
    "",
    summary="What should we buy?",
    responses=_TAKEN,
    openapi_extra=takes(AdviceBody, _ADVICE),
    status_code=202,
)
async def submit_advice(
    request: Request,
    planning: PlanningHere,
    priority: Urgency = "interactive",
    prefer: Prefer = None,
    key: Key = None,
) -> Response:
    """Ask which few pieces, bought within a budget, lower the total cost of these jobs most, and what each piece saves.

    Every figure comes from a plan, so this takes a while: the answer comes within `time_limit_s` of its start, and says if that
    was too little. 202 with its address in `Location`, or 200 with the answer if `Prefer: wait=N` was long enough.
    """
    raw = await read_body(request, planning.settings)
    given = submission_key(request, key, b"advice\n" + raw)
    job = await while_here(request, planning.advise(raw, given, priority=priority))
    return await answered_within(planning, job, prefer)


@router.get("/{id}", summary="Advice and how far it is", responses=answers(200, model=AdviceJobDocument, headers=_HEADERS))
async def read_advice(id: str, planning: PlanningHere, prefer: Prefer = None) -> Response:
    """Return the job; with `Prefer: wait=N`, once it has ended or N seconds have passed."""
    wait = wait_preferred(prefer, planning.settings.wait)
    job = await run_in_threadpool(planning.job, id, "advice")
    return shown(job if wait is None or not job.open else await until_ended(planning, id, wait), wait)


@router.delete("/{id}", summary="Cancel", responses=answers(202, 200, model=AdviceJobDocument, headers=_HEADERS))
async def cancel_advice(request: Request, id: str, planning: PlanningHere, prefer: Prefer = None) -> Response:
    """Ask a job to stop; it keeps what it has found to buy so far. 200 if it has ended, 202 while it is stopping."""
    return await answered_within(planning, await run_in_threadpool(planning.cancel, id, "advice", asked_of(request)), prefer)
