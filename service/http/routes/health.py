"""Whether the server lives, whether it can work, and its counts and times."""

from __future__ import annotations

import logging
from collections.abc import Iterable

from fastapi import APIRouter, Request
from fastapi.responses import JSONResponse, PlainTextResponse, Response
from starlette.concurrency import run_in_threadpool

from inventory.errors import HoldwrightError
from service.documents.answers.server import LivenessDocument, ReadinessDocument
from service.http import metrics
from service.http.dependencies import ContextHere, PlanningHere, caller_if_known
from service.http.metrics import Labels
from service.http.problems import problem_of
from service.http.reference.routes import answers, not_now
from service.planning_jobs.planning_service import PlanningService

log = logging.getLogger("holdwright")
router = APIRouter(tags=["health"])


@router.get("/healthz", summary="The server lives", responses=answers(200, model=LivenessDocument))
async def check_liveness() -> Response:
    """Return at once, whatever else is going on."""
    return JSONResponse(LivenessDocument(status="ok").plain())


@router.get(
    "/readyz",
    summary="The server can take requests and solve them",
    responses=answers(200, model=ReadinessDocument) | not_now(ReadinessDocument),
)
async def check_readiness(request: Request, planning: PlanningHere) -> JSONResponse:
    """Look at the store, the stock and the workers; what is wrong is told to those who ask with a key."""
    checks = await run_in_threadpool(_readiness, planning)
    ok = all(check == "ok" for check in checks.values())
    # What is in the way is for those who may ask for more than whether it works.
    told = checks if caller_if_known(request) is not None else None
    document = ReadinessDocument(status="ok" if ok else "not ready", checks=told).plain()
    return JSONResponse(document, 200 if ok else 503)


@router.get("/metrics", summary="Counts and times for Prometheus", responses=answers(200, media="text/plain"))
async def read_metrics(here: ContextHere) -> PlainTextResponse:
    """Return requests, jobs and solve times in the text exposition format."""
    now = await run_in_threadpool(_gauges, here.planning, here.streams.open)
    return PlainTextResponse(here.metrics.text(now), media_type=metrics.MEDIA_TYPE)


def _readiness(planning: PlanningService) -> dict[str, str]:
    """Return "ok" or what is wrong, for the records of jobs, the stock and the workers."""
    checks = {}
    try:
        planning.records.open_jobs()
        checks["records"] = "ok"
    except HoldwrightError as error:
        checks["records"] = _words(error)
    try:
        planning.stock.snapshot()
        checks["stock"] = "ok"
    except HoldwrightError as error:
        checks["stock"] = _words(error)
    checks["workers"] = "ok" if planning.runner.ready else "the worker processes are not up"
    return checks


def _words(error: HoldwrightError) -> str:
    """Return what is wrong as a problem would say it: without names of files and addresses."""
    log.warning("not ready: %s", error)
    problem = problem_of(error)
    return "a mistake of the server; its log says more" if problem is None else problem.detail


def _gauges(planning: PlanningService, streams: int) -> dict[str, tuple[str, Iterable[tuple[Labels, float]]]]:
    """Return the figures of the moment: jobs by state, open event streams."""
    jobs = [((("state", state),), float(count)) for state, count in planning.records.counts().items()]
    return {
        "holdwright_jobs": ("plan jobs in the records, by state", jobs),
        "holdwright_event_streams": ("progress streams open now", [((), float(streams))]),
    }
