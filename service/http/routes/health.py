"""Whether the server lives, whether it can work, and its counts and times."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from fastapi import APIRouter, Request
from fastapi.responses import JSONResponse, PlainTextResponse
from prometheus_client.metrics_core import Metric
from starlette.concurrency import run_in_threadpool

from inventory.errors import HoldwrightError
from service.http import metrics
from service.http.dependencies import Context, ContextHere, caller_if_known
from service.http.metrics import gauge
from service.planning_jobs.planning_service import PlanningService
from service.records.figures import service_figures
from service.records.jobs import now

router = APIRouter(tags=["health"])


@router.get("/healthz", summary="The server lives")
async def check_liveness() -> dict[str, str]:
    """Return at once, whatever else is going on."""
    return {"status": "ok"}


@router.get(
    "/readyz", summary="The server can take requests and solve them", responses={503: {"description": "not now; says why"}}
)
async def check_readiness(request: Request, here: ContextHere) -> JSONResponse:
    """Look at the store, the stock and the workers; what is wrong is told to those who ask with a key.

    A server that is being stopped is not ready.
    """
    if here.stop.given:
        return JSONResponse({"status": "not ready"}, 503)
    checks = await run_in_threadpool(_readiness, here.planning)
    ok = all(check == "ok" for check in checks.values())
    document: dict[str, Any] = {"status": "ok" if ok else "not ready"}
    if caller_if_known(request) is not None:
        document["checks"] = checks
    return JSONResponse(document, 200 if ok else 503)


@router.get("/metrics", summary="Counts and times for Prometheus", response_class=PlainTextResponse)
async def read_metrics(request: Request, here: ContextHere) -> PlainTextResponse:
    """Return requests, jobs, solve times and what waits, in the text exposition format."""
    connections = getattr(request.app.state, "connections", None)
    figures = [
        gauge("event_streams", "progress streams open now", here.streams.open),
        gauge("bodies_bytes", "bodies of requests that are not answered yet", here.bodies.held),
        gauge("stopping", "1 while the server is being stopped", here.stop.given),
    ]
    if connections is not None:
        figures.append(gauge("connections", "connections open now", connections.open))
    figures += await run_in_threadpool(lambda: list(_in_the_tables(here)))
    return PlainTextResponse(here.metrics.text(figures), media_type=metrics.MEDIA_TYPE)


def _readiness(planning: PlanningService) -> dict[str, str]:
    """Return "ok" or what is wrong, for the records of jobs, the stock and the workers."""
    checks = {}
    try:
        planning.records.open_jobs()
        checks["records"] = "ok"
    except HoldwrightError as error:
        checks["records"] = str(error)
    try:
        planning.stock.snapshot()
        checks["stock"] = "ok"
    except HoldwrightError as error:
        checks["stock"] = str(error)
    checks["workers"] = "ok" if planning.runner.ready else "the worker processes are not up"
    return checks


def _in_the_tables(here: Context) -> Iterator[Metric]:
    """Yield the figures of the database; all but the first are left out while it cannot be read."""
    at = now()
    try:
        figures = service_figures(here.planning.records.database, at)
    except HoldwrightError:
        yield gauge("store_up", "1 if the database can be read", 0)
        return
    waited_s = 0.0 if figures.waiting_since is None else max(0.0, (at - figures.waiting_since).total_seconds())
    yield gauge("store_up", "1 if the database can be read", 1)
    yield gauge("jobs", "plan jobs in the records, by state", label="state", by_label=list(figures.jobs.items()))
    yield gauge("queue_waiting", "plan jobs that wait for a worker", figures.jobs["queued"])
    yield gauge("queue_running", "plan jobs that are solved now", figures.jobs["running"])
    yield gauge("queue_oldest_seconds", "how long the job has waited that has waited longest", waited_s)
    yield gauge("queue_overdue", "plan jobs that run, but no server is known to work on them", figures.overdue)
    yield gauge("deliveries", "messages to webhooks, by state", label="state", by_label=figures.deliveries.items())
