"""Following jobs, wherever they are solved, without holding a thread: until an answer is there, or event by event."""

from __future__ import annotations

import time
from collections.abc import AsyncIterator
from typing import Any

from starlette.concurrency import run_in_threadpool
from starlette.responses import StreamingResponse
from starlette.types import Receive, Scope, Send

from service.http.problems import HttpProblem
from service.http.reference.routes import EVENTS
from service.http.server.stop import RETRY_S, Stop, stopping
from service.planning_jobs.planning_service import PlanningService
from service.records.job import Job
from service.records.jobs import as_text

_LOOK_S = 1.0
"""How often a job is looked at of which nothing was heard, s."""
_STILL_HERE_S = 15.0
STREAMED = {"Cache-Control": "no-store", "X-Accel-Buffering": "no"}
"""Headers of every stream: nobody on the way may keep or gather its events."""


class EventStreams:
    """The event streams that are open, never more than `most`; they end when the server is to stop."""

    def __init__(self, most: int, stop: Stop) -> None:
        self.most, self.open, self._stop = most, 0, stop

    def accepted(self, stream: AsyncIterator[str], media: str = EVENTS) -> StreamingResponse:
        """Return the answer with a stream, of events or of lines, which counts from now until it has been sent.

        Raises
        ------
        Problem
            ``busy``.
        """
        if self.open >= self.most:
            raise HttpProblem("busy", f"{self.most} event streams are open already", headers={"Retry-After": "5"})
        return _EventResponse(self, self._until_stopped(stream) if media == EVENTS else self._stop.until(stream), media)

    async def _until_stopped(self, stream: AsyncIterator[str]) -> AsyncIterator[str]:
        async for event in self._stop.until(stream):
            yield event
        if self._stop.given:
            # Not the end of the job: a reader asks again, the next server or another one, with the number it saw last.
            yield f"retry: {1000 * RETRY_S}\n{server_event('stopping', {})}"


class _EventResponse(StreamingResponse):
    """An answer that has its place among the streams until it is sent, or its reader has left."""

    def __init__(self, streams: EventStreams, stream: AsyncIterator[str], media: str) -> None:
        super().__init__(stream, media_type=media, headers=STREAMED)
        self._streams = streams
        streams.open += 1

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        try:
            await super().__call__(scope, receive, send)
        finally:
            self._streams.open -= 1


async def until_ended(planning: PlanningService, id: str, seconds: float) -> Job:
    """Return the job once it has ended, or as it stands after `seconds`, or when the server is to stop."""
    ends = time.monotonic() + seconds
    with planning.news.waiting_for(id) as news:
        while True:
            followed = await run_in_threadpool(planning.records.follow, id)
            left = ends - time.monotonic()
            if followed is None or not followed.open or left <= 0 or stopping():
                break
            await news.next(min(_LOOK_S, left))
    job = await run_in_threadpool(planning.records.get, id)
    if job is None:
        raise HttpProblem("not-found", f"the job {id} is no longer kept")
    return job


async def event_stream(planning: PlanningService, id: str, start: int) -> AsyncIterator[str]:
    """Yield a job's progress as server-sent events, numbered from 0, then one `end` event with its state.

    Parameters
    ----------
    start : int
        Number of the first progress event wanted: one more than the last one the reader has seen.
    """
    said = time.monotonic()
    with planning.news.waiting_for(id) as news:
        while True:
            followed = await run_in_threadpool(planning.records.follow, id, start)
            if followed is None:  # no longer kept
                return
            for event in followed.events:
                yield server_event("progress", dict(event), start)
                start += 1
                said = time.monotonic()
            if not followed.open:
                yield server_event("end", {"state": followed.state, "status": followed.status})
                return
            if time.monotonic() - said >= _STILL_HERE_S:
                yield ": still here\n\n"
                said = time.monotonic()
            await news.next(_LOOK_S)


def server_event(name: str, data: dict[str, Any], number: int | None = None) -> str:
    """Return one server-sent event."""
    numbered = "" if number is None else f"id: {number}\n"
    return f"event: {name}\n{numbered}data: {as_text(data)}\n\n"
