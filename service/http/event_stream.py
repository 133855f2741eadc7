"""Waiting for jobs without holding a thread or the event loop: until an answer is there, or event by event."""

from __future__ import annotations

import asyncio
import time
from collections.abc import AsyncIterator
from typing import Any

from starlette.concurrency import run_in_threadpool

from service.http.problems import HttpProblem
from service.http.server.stop import RETRY_S, Stop, stopping
from service.planning_jobs.planning_service import PlanningService
from service.records.job import Job
from service.records.jobs import as_text

_LOOK_HERE_S = 0.02
_LOOK_AFAR_S = 0.5
_STILL_HERE_S = 15.0


class EventStreams:
    """The event streams that are open, never more than `most`; they end when the server is to stop."""

    def __init__(self, most: int, stop: Stop) -> None:
        self.most, self.open, self._stop = most, 0, stop

    def one_more(self, stream: AsyncIterator[str]) -> AsyncIterator[str]:
        """Return the stream, counted while it is read; raises Problem ``busy``."""
        if self.open >= self.most:
            raise HttpProblem("busy", f"{self.most} event streams are open already", headers={"Retry-After": "5"})
        return self._counted(stream)

    async def _counted(self, stream: AsyncIterator[str]) -> AsyncIterator[str]:
        # Counted from the first event asked for: a reader that leaves before would never be counted down.
        self.open += 1
        try:
            async for event in self._stop.until(stream):
                yield event
            if self._stop.given:
                # Not the end of the job: a reader asks again, the next server or another one, with the number it saw last.
                yield f"retry: {1000 * RETRY_S}\n{_event('stopping', {})}"
        finally:
            self.open -= 1


async def until_ended(planning: PlanningService, id: str, seconds: float) -> Job:
    """Return the job once it has ended, or as it stands after `seconds`, or when the server is to stop."""
    ends = time.monotonic() + seconds
    while True:
        await _while_at_work(planning, id, ends)
        job = await run_in_threadpool(planning.job, id)
        if not job.open or time.monotonic() >= ends or stopping():
            return job
        await asyncio.sleep(min(_LOOK_AFAR_S, max(0.0, ends - time.monotonic())))


async def event_stream(planning: PlanningService, id: str, start: int) -> AsyncIterator[str]:
    """Yield a job's progress as server-sent events, numbered from 0, then one `end` event with its state.

    Parameters
    ----------
    start : int
        Number of the first progress event wanted: one more than the last one the reader has seen.
    """
    said = time.monotonic()
    while True:
        at_work = planning.runner.at_work(id)
        events = await run_in_threadpool(planning.runner.events, id, start)
        for event in events or ():
            yield _event("progress", event, start)
            start += 1
            said = time.monotonic()
        if not at_work:
            job = await run_in_threadpool(planning.job, id)
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


def newest_progress(planning: PlanningService, job: Job) -> dict[str, Any] | None:
    """Return the newest progress event of a job that runs here, None otherwise."""
    events = planning.runner.events(job.id, 0) if job.open else None
    return events[-1] if events else None


async def _while_at_work(planning: PlanningService, id: str, ends: float) -> None:
    while planning.runner.at_work(id) and time.monotonic() < ends and not stopping():
        await asyncio.sleep(_LOOK_HERE_S)


def _event(name: str, data: dict[str, Any], number: int | None = None) -> str:
    numbered = "" if number is None else f"id: {number}\n"
    return f"event: {name}\n{numbered}data: {as_text(data)}\n\n"
