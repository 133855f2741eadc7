"""Whether the server lives, whether it can work, and its counts and times."""

from __future__ import annotations

from typing import Annotated

from fastapi import APIRouter, Depends
from fastapi.responses import JSONResponse, PlainTextResponse
from starlette.concurrency import run_in_threadpool

from service.http import metrics
from service.http.dependencies import Streams, desk_of, metrics_of, streams_of
from service.http.health import gauges, readiness
from service.http.metrics import Metrics
from service.planning_jobs.desk import Desk

router = APIRouter(tags=["health"])
DeskHere = Annotated[Desk, Depends(desk_of)]


@router.get("/healthz", summary="The server lives")
async def alive() -> dict[str, str]:
    """Return at once, whatever else is going on."""
    return {"status": "ok"}


@router.get(
    "/readyz", summary="The server can take requests and solve them", responses={503: {"description": "not now; says why"}}
)
async def ready(desk: DeskHere) -> JSONResponse:
    """Look at the store, the stock and the workers."""
    checks = await run_in_threadpool(readiness, desk)
    ok = all(check == "ok" for check in checks.values())
    return JSONResponse({"status": "ok" if ok else "not ready", "checks": checks}, 200 if ok else 503)


@router.get("/metrics", summary="Counts and times for Prometheus", response_class=PlainTextResponse)
async def counted(
    desk: DeskHere,
    counts: Annotated[Metrics, Depends(metrics_of)],
    streams: Annotated[Streams, Depends(streams_of)],
) -> PlainTextResponse:
    """Return requests, jobs and solve times in the text exposition format."""
    now = await run_in_threadpool(gauges, desk, streams.open)
    return PlainTextResponse(counts.text(now), media_type=metrics.MEDIA_TYPE)
