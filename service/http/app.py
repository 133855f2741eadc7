"""The HTTP application: what is wired to what, and what every answer has in common."""

from __future__ import annotations

import logging
import secrets
import time
from collections.abc import AsyncIterator
from contextlib import asynccontextmanager
from importlib.metadata import PackageNotFoundError, version

from fastapi import FastAPI, Request
from fastapi.exceptions import RequestValidationError
from starlette.exceptions import HTTPException
from starlette.responses import Response
from starlette.types import ASGIApp, Message, Receive, Scope, Send

from inventory.errors import Fault, HoldwrightError
from service.http.dependencies import Streams
from service.http.guard.headers import host_answered
from service.http.metrics import Metrics
from service.http.problems import Problem, invalid
from service.http.reference import openapi_of
from service.http.refusals import problem_of
from service.http.routes import checks, health, items, plans, reservations, schemas, tables
from service.http.routes import stock as stock_routes
from service.planning_jobs.desk import Desk
from service.planning_jobs.embedded import EmbeddedJobs
from service.planning_jobs.job import Job
from service.planning_jobs.outcome import Outcome
from service.planning_jobs.planner import PLANNER
from service.planning_jobs.records import JobRecords
from service.planning_jobs.side_tasks import SideTasks
from service.planning_jobs.worker_pool import WorkerPool
from service.settings import Settings
from service.stockroom.stock_source import StockSource

log = logging.getLogger("holdwright")
_ABOUT = (
    "Computes the cheapest feasible modular welding fixture from counted stock, proves it, ranks alternatives, explains refusals."
)


def release() -> str:
    """Return the installed release."""
    try:
        return version("holdwright")
    except PackageNotFoundError:
        return "0"


def create_app(settings: Settings, stock: StockSource, records: JobRecords, planner: str = PLANNER) -> FastAPI:
    """Wire the application; its worker processes live as long as its lifespan.

    Parameters
    ----------
    planner : str
        `module:function` the solving processes import.
    """
    metrics = Metrics()
    jobs = EmbeddedJobs(records, stock, settings, planner, lambda job, end: _count_job(metrics, job, end))
    clerks = SideTasks(settings.check_limit)
    advisers = WorkerPool(1, ("solver.planning", "service.stockroom.advising"))

    @asynccontextmanager
    async def lifespan(app: FastAPI) -> AsyncIterator[None]:
        jobs.start()
        try:
            yield
        finally:
            jobs.stop()
            clerks.stop()
            advisers.stop()

    app = FastAPI(title="Holdwright", version=release(), description=_ABOUT, docs_url=None, redoc_url=None, lifespan=lifespan)
    app.state.desk = Desk(settings, stock, records, jobs, clerks)
    app.state.advisers = advisers
    app.state.metrics, app.state.streams = metrics, Streams(settings.event_streams)
    app.openapi = lambda: openapi_of(app)  # type: ignore[method-assign]
    for routes in (plans, checks, items, stock_routes, tables, reservations, schemas, health):
        app.include_router(routes.router)
    app.add_exception_handler(Problem, _problem)
    app.add_exception_handler(HTTPException, _refused)
    app.add_exception_handler(RequestValidationError, _unread)
    app.add_exception_handler(HoldwrightError, _store)
    app.add_exception_handler(Exception, _mistake)
    app.add_middleware(Watch, metrics=metrics, hosts=f"{settings.hosts} {settings.host}")
    return app


class Watch:
    """Around every request: refuses strange hosts, counts and times, adds the headers all answers carry."""

    def __init__(self, app: ASGIApp, metrics: Metrics, hosts: str) -> None:
        self.app, self.metrics, self.hosts = app, metrics, hosts

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        if scope["type"] != "http":
            await self.app(scope, receive, send)
            return
        began, status = time.monotonic(), 500

        async def answer(message: Message) -> None:
            nonlocal status
            if message["type"] == "http.response.start":
                status = message["status"]
                headers = message.get("headers", [])
                message["headers"] = [*headers, (b"x-content-type-options", b"nosniff"), (b"referrer-policy", b"no-referrer")]
            await send(message)

        try:
            host = Request(scope).headers.get("host", "")
            if host_answered(host, self.hosts):
                await self.app(scope, receive, answer)
            else:
                refusal = Problem(
                    "host", f"the Host header {host!r} is not one of those answered; HOLDWRIGHT_HOSTS names them"[:300]
                )
                await refusal.response()(scope, receive, answer)
        finally:
            route = getattr(scope.get("route"), "path", "other")
            told = {"method": scope["method"] if route != "other" else "other", "route": route}
            self.metrics.count("holdwright_requests_total", "answers, by route and status", status=str(status), **told)
            self.metrics.observe("holdwright_request_seconds", "time to answer", time.monotonic() - began, route=route)


def _count_job(metrics: Metrics, job: Job, end: Outcome) -> None:
    status = "none" if end.plan is None else end.plan.status
    metrics.count("holdwright_jobs_ended_total", "plan jobs ended, by state and status", state=end.state, status=status)
    if end.plan is not None and end.plan.solve_s is not None:
        metrics.observe("holdwright_solve_seconds", "solve time", end.plan.solve_s, status=status)


async def _problem(request: Request, problem: Exception) -> Response:
    assert isinstance(problem, Problem)
    return problem.response()


async def _store(request: Request, error: Exception) -> Response:
    """Turn what the store refuses, wherever it was asked, into a problem."""
    assert isinstance(error, HoldwrightError)
    try:
        return problem_of(error).response()
    except HoldwrightError:
        return await _mistake(request, error)


async def _refused(request: Request, refusal: Exception) -> Response:
    """Turn the framework's own refusals into problems."""
    assert isinstance(refusal, HTTPException)
    kind = {404: "not-found", 405: "method"}.get(refusal.status_code, "bad-header")
    return Problem(kind, f"{request.method} {request.url.path}"[:300], headers=dict(refusal.headers or {})).response()


async def _unread(request: Request, error: Exception) -> Response:
    assert isinstance(error, RequestValidationError)
    faults = [Fault("/" + "/".join(str(step) for step in one["loc"]), one["msg"], "see /docs") for one in error.errors()]
    return invalid(faults).response()


async def _mistake(request: Request, error: Exception) -> Response:
    id = secrets.token_hex(8)
    log.error("mistake %s at %s %s", id, request.method, request.url.path, exc_info=error)
    return Problem("internal", "the server's log has the details under this id").response(f"urn:holdwright:mistake:{id}")
