"""Whether the server lives, whether it can work, and its counts and times."""

from __future__ import annotations

from collections.abc import Callable, Iterator

from fastapi import APIRouter, Request
from fastapi.responses import JSONResponse, PlainTextResponse, Response
from prometheus_client.metrics_core import Metric
from starlette.concurrency import run_in_threadpool

from inventory.errors import HoldwrightError
from service.documents.answers.server import LivenessDocument, ReadinessDocument
from service.http import metrics
from service.http.dependencies import Context, ContextHere, caller_if_known
from service.http.metrics import gauge
from service.http.problems import problem_of
from service.http.reference.routes import answers, not_now
from service.records.database import now
from service.records.figures import service_figures

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
async def check_readiness(request: Request, here: ContextHere) -> JSONResponse:
    """Look at the store, which must take a write, stock and workers; what is wrong is told to those who ask with a key.

    A server that is being stopped is not ready.
    """
    if here.stop.given:
        return JSONResponse(ReadinessDocument(status="not ready").plain(), 503)
    checks = await run_in_threadpool(_readiness, here)
    ok = all(check == "ok" for check in checks.values())
    # What is in the way is for those who may ask for more than whether it works.
    told = checks if caller_if_known(request) is not None else None
    document = ReadinessDocument(status="ok" if ok else "not ready", checks=told).plain()
    return JSONResponse(document, 200 if ok else 503)


@router.get("/metrics", summary="Counts and times for Prometheus", responses=answers(200, media="text/plain"))
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


def _readiness(here: Context) -> dict[str, str]:
    """Return "ok" or what is wrong, for the store, the stock and the workers."""
    planning = here.planning
    checks = {"store": _checked(planning.records.database.probe), "stock": _checked(planning.stock.snapshot)}
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
