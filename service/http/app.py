"""The HTTP application: what is wired to what."""

from __future__ import annotations

import asyncio
import json
import logging
from collections.abc import AsyncIterator, Sequence
from contextlib import asynccontextmanager
from functools import partial

from fastapi import Depends, FastAPI

from service.access.access import Access
from service.http.dependencies import Context
from service.http.error_handlers import add_error_handlers
from service.http.guard.body_flow import BodiesHeld
from service.http.guard.entrance import Entrance
from service.http.guard.queries import known_parameters
from service.http.jobs.event_stream import EventStreams
from service.http.metrics import Metrics
from service.http.middleware import Around, RequestMiddleware
from service.http.reference.openapi import openapi_of
from service.http.reference.tags import TAGS
from service.http.routes import ROUTERS
from service.http.server.stop import Stop
from service.http.sheets.sheet_pool import SheetPool
from service.http.weldment_files.reading_pool import ReadingPool
from service.planning_jobs.adapters import runner_of
from service.planning_jobs.job_news import JobNews
from service.planning_jobs.outcome import Outcome
from service.planning_jobs.planner import Planner
from service.planning_jobs.planning_service import PlanningService
from service.planning_jobs.side_tasks import SideTasks
from service.quotes.quote_rounds import QuoteRounds
from service.quotes.quote_service import QuoteService
from service.records.database import now
from service.records.job import Job
from service.records.jobs import JobRecords
from service.records.quotes import QuoteRecords
from service.release import release
from service.retention import sweeper_of
from service.settings import Settings
from service.stockroom.stock_source import StockSource, StoreStock
from service.tracing import Tracing, tracing_of
from service.webhooks.sender import sender_of

log = logging.getLogger("holdwright.http")
_WARM_AFTER_S = 1.0
"""The processes that read and check are started so long after the solving ones, s: loading both at once slows both down."""
_ABOUT = (
    "Computes the cheapest feasible modular welding fixture from counted stock, proves it, ranks alternatives, explains refusals."
)


def create_app(
    settings: Settings, stock: StockSource, records: JobRecords, planner: Planner, tracing: Tracing | None = None
) -> FastAPI:
    """Wire the application; its worker processes live as long as its lifespan.

    Parameters
    ----------
    planner : Planner
        `solver.planning.plan`, or what a test puts in its place.
    tracing : Tracing, optional
        Where spans go; as the settings say if not given.
    """
    tracing, log_all = tracing or tracing_of(settings), settings.log_requests == "all"
    metrics, stop = Metrics(), Stop()
    bodies = BodiesHeld(settings.bodies_mb * 1_000_000, settings.body_pause)
    news = JobNews(records.database)
    heard: list[QuoteRounds] = []
    on_end = partial(_tell_of_job, metrics, tracing, heard)
    runner = runner_of(settings, records, stock, planner, on_end, news)
    side_tasks = SideTasks(settings.check_limit, planner)
    sheets = SheetPool(settings.check_limit)
    readings = ReadingPool(settings)
    access = Access.over(records.database, settings)
    sender = sender_of(records.database, settings)
    sweeper = sweeper_of(records.database, settings)
    quotes = QuoteRecords(records.database, settings.key_hours)
    quote_rounds = QuoteRounds(quotes, records, stock, runner, news)
    heard.append(quote_rounds)

    @asynccontextmanager
    async def lifespan(app: FastAPI) -> AsyncIterator[None]:
        access.start()
        news.start()
        runner.start()
        sender.start()
        sweeper.start()
        quote_rounds.start()
        warming = asyncio.get_running_loop().call_later(_WARM_AFTER_S, side_tasks.start)
        try:
            yield
        finally:
            warming.cancel()
            for part in (quote_rounds, side_tasks, sheets, readings, news, runner, sender, sweeper, access, tracing):
                await asyncio.to_thread(part.stop)

    app = FastAPI(
        title="Holdwright", version=release(), description=_ABOUT, docs_url=None, redoc_url=None, lifespan=lifespan,
        generate_unique_id_function=lambda route: route.name, openapi_tags=TAGS, dependencies=[Depends(known_parameters)],
        telemetry={"tracing": False, "metrics": False, "logs": False},
    )  # fmt: skip
    planning = PlanningService(settings, stock, records, runner, side_tasks, news, partial(_tell_of_taken, tracing, log_all))
    app.state.context = Context(
        planning=planning,
        quotes=QuoteService(planning, quotes, quote_rounds),
        store=stock.store if isinstance(stock, StoreStock) else None,
        metrics=metrics,
        streams=EventStreams(settings.event_streams, stop),
        sheets=sheets,
        access=access,
        bodies=bodies,
        stop=stop,
        readings=readings,
    )
    app.openapi = lambda: openapi_of(app)  # type: ignore[method-assign]
    for router in ROUTERS:
        app.include_router(router)
    add_error_handlers(app)
    app.add_middleware(Entrance, access=access)
    hosts, known = f"{settings.hosts} {settings.host}", access.authentication
    around = Around(metrics, hosts, settings.header, bodies, stop, log_all, tracing, lambda: known.required)
    app.add_middleware(RequestMiddleware, around=around)
    return app


def _tell_of_job(
    metrics: Metrics, tracing: Tracing, quotes: Sequence[QuoteRounds], job: Job, end: Outcome
) -> None:  # fmt: skip
    for each in quotes if job.quote is not None else ():
        each.wake()
    parts = len(json.loads(job.request).get("weldment", {}).get("parts", ()))
    status, solve_s, gap = (None, None, None) if end.plan is None else (end.plan.status, end.plan.solve_s, end.plan.gap)
    metrics.job_ended(end.state, status or "none", parts, solve_s, gap)
    metrics.checks_failed(end.failed_checks)
    at = now()
    tracing.job_ended(job.id, job.started_at or at, at, end.state, status, gap, end.kind)


def _tell_of_taken(tracing: Tracing, log_all: bool, id: str) -> None:
    tracing.asked(id)
    if log_all:
        log.info("a job was taken in", extra={"job": id})
