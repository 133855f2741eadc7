"""How a route gets at what the application was wired with."""

from __future__ import annotations

from collections.abc import AsyncIterator
from typing import cast

from fastapi import Request

from service.http.metrics import Metrics
from service.http.problems import Problem
from service.planning_jobs.desk import Desk


class Streams:
    """The event streams that are open, never more than `most`."""

    def __init__(self, most: int) -> None:
        self.most, self.open = most, 0

    def one_more(self, stream: AsyncIterator[str]) -> AsyncIterator[str]:
        """Return the stream, counted while it is read; raises Problem ``busy``."""
        if self.open >= self.most:
            raise Problem("busy", f"{self.most} event streams are open already", headers={"Retry-After": "5"})
        return self._counted(stream)

    async def _counted(self, stream: AsyncIterator[str]) -> AsyncIterator[str]:
        # Counted from the first event asked for: a reader that leaves before would never be counted down.
        self.open += 1
        try:
            async for event in stream:
                yield event
        finally:
            self.open -= 1


def desk_of(request: Request) -> Desk:
    """Return the planning desk."""
    return cast(Desk, request.app.state.desk)


def streams_of(request: Request) -> Streams:
    """Return the count of open event streams."""
    return cast(Streams, request.app.state.streams)


def metrics_of(request: Request) -> Metrics:
    """Return the counts and times."""
    return cast(Metrics, request.app.state.metrics)
