"""Waiting for jobs without holding a thread or the event loop: until an answer is there, or event by event."""

from __future__ import annotations

import asyncio
import time
from collections.abc import AsyncIterator
from typing import Any

from starlette.concurrency import run_in_threadpool

from service.planning_jobs.desk import Desk
from service.planning_jobs.job import Job
from service.planning_jobs.records import as_text

_LOOK_HERE_S = 0.02
_LOOK_AFAR_S = 0.5
_STILL_HERE_S = 15.0


async def until_ended(desk: Desk, id: str, seconds: float) -> Job:
    """Return the job once it has ended, or as it stands after `seconds`."""
    ends = time.monotonic() + seconds
    while True:
        await _while_at_work(desk, id, ends)
        job = await run_in_threadpool(desk.job, id)
        if not job.open or time.monotonic() >= ends:
            return job
        await asyncio.sleep(min(_LOOK_AFAR_S, max(0.0, ends - time.monotonic())))


async def event_stream(desk: Desk, id: str, start: int) -> AsyncIterator[str]:
    """Yield a job's progress as server-sent events, numbered from 0, then one `end` event with its state.

    Parameters
    ----------
    start : int
        Number of the first progress event wanted: one more than the last one the reader has seen.
    """
    said = time.monotonic()
    while True:
        at_work = desk.jobs.at_work(id)
        events = await run_in_threadpool(desk.jobs.events, id, start)
        for event in events or ():
            yield _event("progress", event, start)
            start += 1
            said = time.monotonic()
        if not at_work:
            job = await run_in_threadpool(desk.job, id)
            if not job.open:
                if start == 0 and events is None and job.progress is not None:
                    yield _event("progress", dict(job.progress), 0)
                yield _event("end", {"state": job.state, "status": None if job.plan is None else job.plan["status"]})
                return
            await asyncio.sleep(_LOOK_AFAR_S)
        if time.monotonic() - said >= _STILL_HERE_S:
            yield ": still here\n\n"
            said = time.monotonic()
        await asyncio.sleep(5 * _LOOK_HERE_S)


def newest_progress(desk: Desk, job: Job) -> dict[str, Any] | None:
    """Return the newest progress event of a job that runs here, None otherwise."""
    events = desk.jobs.events(job.id, 0) if job.open else None
    return events[-1] if events else None


async def _while_at_work(desk: Desk, id: str, ends: float) -> None:
    while desk.jobs.at_work(id) and time.monotonic() < ends:
        await asyncio.sleep(_LOOK_HERE_S)


def _event(name: str, data: dict[str, Any], number: int | None = None) -> str:
    numbered = "" if number is None else f"id: {number}\n"
    return f"event: {name}\n{numbered}data: {as_text(data)}\n\n"
