"""Whether the server lives, whether it can work, and its counts and times."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from typing import Any

from fastapi import APIRouter, Request
from fastapi.responses import JSONResponse, PlainTextResponse
from starlette.concurrency import run_in_threadpool

from inventory.errors import HoldwrightError
from service.http import metrics
from service.http.dependencies import Context, ContextHere, caller_if_known
from service.http.metrics import Labels
from service.http.problems import problem_of
from service.planning_jobs.planning_service import PlanningService

router = APIRouter(tags=["health"])


@router.get("/healthz", summary="The server lives")
async def check_liveness() -> dict[str, str]:
    """Return at once, whatever else is going on."""
    return {"status": "ok"}


@router.get(
    "/readyz", summary="The server can take requests and solve them", responses={503: {"description": "not now; says why"}}
)
async def check_readiness(request: Request, here: ContextHere) -> JSONResponse:
    """Look at the store, which must take a write, stock and workers; what is wrong is told to those who ask with a key."""
    checks = await run_in_threadpool(_readiness, here)
    ok = all(check == "ok" for check in checks.values())
    document: dict[str, Any] = {"status": "ok" if ok else "not ready"}
    if caller_if_known(request) is not None:
        document["checks"] = checks
    return JSONResponse(document, 200 if ok else 503)


@router.get("/metrics", summary="Counts and times for Prometheus", response_class=PlainTextResponse)
async def read_metrics(here: ContextHere) -> PlainTextResponse:
    """Return requests, jobs and solve times in the text exposition format."""
    now = await run_in_threadpool(_gauges, here.planning, here.streams.open)
    return PlainTextResponse(here.metrics.text(now), media_type=metrics.MEDIA_TYPE)


def _readiness(here: Context) -> dict[str, str]:
    """Return "ok" or what is wrong, for the store, the records of jobs, the stock and the workers."""
    planning = here.planning
    checks = {} if here.store is None else {"store": _checked(here.store.probe)}
    checks |= {"records": _checked(planning.records.open_jobs), "stock": _checked(planning.stock.snapshot)}
    checks["workers"] = "ok" if planning.runner.ready else "the worker processes are not up"
    return checks


def _checked(act: Callable[[], object]) -> str:
    """Return "ok" if something can be done, else why not, in words that name no address and no file."""
    try:
        act()
    except HoldwrightError as error:
        problem = problem_of(error)
        return type(error).__name__ if problem is None else problem.detail
    return "ok"


def _gauges(planning: PlanningService, streams: int) -> dict[str, tuple[str, Iterable[tuple[Labels, float]]]]:
    """Return the figures of the moment: jobs by state, open event streams."""
    jobs = [((("state", state),), float(count)) for state, count in planning.records.counts().items()]
    return {
        "holdwright_jobs": ("plan jobs in the records, by state", jobs),
        "holdwright_event_streams": ("progress streams open now", [((), float(streams))]),
    }
