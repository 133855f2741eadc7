"""What routes of the storekeeper's desk are given: the store, the moment, the shop's day, the plans somebody may reserve."""

from __future__ import annotations

import json
from collections.abc import Callable
from concurrent.futures import TimeoutError
from datetime import UTC, date, datetime
from typing import cast

from fastapi import Request
from pebble import ProcessExpired
from starlette.concurrency import run_in_threadpool
from starlette.responses import JSONResponse, Response

from inventory.errors import Fault, HoldwrightError
from inventory.store import Store
from service.documents import read_plan
from service.documents.stockroom import AdviceBody, read_body_as
from service.http.dependencies import desk_of
from service.http.guard.body import read_body
from service.http.guard.headers import key_given
from service.http.problems import Problem, invalid
from service.http.refusals import problem_of
from service.planning_jobs.worker_pool import WorkerPool
from service.stockroom.advising import MOST_REQUESTS, Wished, advised, tasks_of
from service.stockroom.kits import PlannedKit
from service.stockroom.replies import Asked, Reply

START_S = 10.0
"""A solve may overrun, and a process may have to start, by so much before it is ended."""


def store(request: Request) -> Store:
    """Return the store; raises Problem ``not-found`` where stock comes from a file."""
    found = getattr(desk_of(request).stock, "store", None)
    if found is None:
        raise Problem("not-found", "this server plans from a stock file and keeps no store")
    return cast(Store, found)


def today() -> date:
    """Return the shop's calendar day."""
    return date.today()


def find_plan(request: Request, id: str) -> PlannedKit | None:
    """Return a finished plan by its id, None if there is none with an answer."""
    job = desk_of(request).records.get(id)
    return None if job is None or job.plan is None else PlannedKit(id, read_plan(dict(job.plan)), json.loads(job.request))


def advise(request: Request, body: bytes) -> Reply:
    """Work out, in a process of its own, what to buy; raises Problem ``busy`` if that process runs over its time."""
    desk = desk_of(request)
    wish = read_body_as(AdviceBody, body)
    if len(wish.requests) not in range(1, MOST_REQUESTS + 1):
        raise invalid([Fault("/requests", f"{len(wish.requests)} requests", f"1 to {MOST_REQUESTS}")])
    if wish.time_limit_s > desk.settings.time_limit:
        wrong = f"{wish.time_limit_s:g} s is longer than this server works on one question"
        raise invalid([Fault("/time_limit_s", wrong, f"at most {desk.settings.time_limit:g} s")])
    wished = [Wished(each.name or f"job {number}", each.request, each.times) for number, each in enumerate(wish.requests, 1)]
    tasks = tasks_of(wished, desk.stock)
    bench = cast(WorkerPool, request.app.state.advisers)
    task = bench.run(advised, (tasks, wish.budget_cents, wish.time_limit_s), wish.time_limit_s + START_S)
    try:
        return Reply(task.result())
    except TimeoutError:
        raise Problem("busy", f"no advice within {wish.time_limit_s:g} s; fewer requests, or a larger time_limit_s") from None
    except ProcessExpired as died:
        raise Problem("worker-died", f"the advising process ended with exit code {died.exitcode}") from None


async def asked(request: Request, empty_allowed: bool = False) -> Asked:
    """Return a write as it was asked for."""
    body = await read_body(request, desk_of(request).settings, empty_allowed) if request.method != "DELETE" else b""
    return _asked(request, body)


async def asked_csv(request: Request) -> Asked:
    """Return a write whose body is a stock list; raises Problem ``media-type``, ``too-large``, ``slow-body``."""
    return _asked(request, await read_body(request, desk_of(request).settings, media="text/csv"))


async def answered(act: Callable[[], Reply]) -> Response:
    """Answer with what the desk replies, worked out beside the event loop; its refusals become problems."""
    try:
        reply = await run_in_threadpool(act)
    except HoldwrightError as error:
        raise problem_of(error) from None
    headers = {"Cache-Control": "no-store", **reply.headers}
    if reply.document is None:
        return Response(status_code=reply.status, headers=headers)
    return JSONResponse(reply.document, reply.status, headers)


def _asked(request: Request, body: bytes) -> Asked:
    return Asked(
        body=body,
        now=datetime.now(UTC),
        today=today(),
        if_match=request.headers.get("if-match"),
        key=key_given(request.headers.get("idempotency-key")),
        target=f"{request.method} {request.url.path}?{request.url.query}",
    )
