"""Whether the server has been told to stop, for whoever waits meanwhile."""

from __future__ import annotations

import asyncio
from collections.abc import AsyncIterator
from contextvars import ContextVar
from typing import TypeVar

T = TypeVar("T")
RETRY_S = 2
"""Whoever is turned away because the server stops may ask again after so many seconds: the next server, or another one."""


class Stop:
    """The server's order to stop; once given it stands."""

    def __init__(self) -> None:
        self._given = False
        self._waiting: set[asyncio.Future[None]] = set()

    def give(self) -> None:
        """Tell everybody; called in the event loop."""
        self._given = True
        for each in tuple(self._waiting):
            if not each.done():
                each.set_result(None)

    @property
    def given(self) -> bool:
        """Whether the server is to stop."""
        return self._given

    async def wait(self) -> None:
        """Return once the server is to stop."""
        if self._given:
            return
        mine: asyncio.Future[None] = asyncio.get_running_loop().create_future()
        self._waiting.add(mine)
        try:
            await mine
        finally:
            self._waiting.discard(mine)

    async def until(self, stream: AsyncIterator[T]) -> AsyncIterator[T]:
        """Yield what a stream yields, but nothing more once the server is to stop, whatever the stream is waiting for."""
        given = asyncio.ensure_future(self.wait())
        upcoming: asyncio.Future[T] | None = None
        try:
            while not self.given:
                upcoming = asyncio.ensure_future(anext(stream))
                await asyncio.wait({upcoming, given}, return_when=asyncio.FIRST_COMPLETED)
                if not upcoming.done():
                    return
                try:
                    yield upcoming.result()
                except StopAsyncIteration:
                    return
        finally:
            given.cancel()
            if upcoming is not None and not upcoming.done():
                upcoming.cancel()
                await asyncio.gather(upcoming, return_exceptions=True)


HERE: ContextVar[Stop | None] = ContextVar("stop", default=None)
"""The order of the server whose request is being answered; None outside of requests."""


def stopping() -> bool:
    """Whether the server whose request is being answered is to stop: who waits for something looks here."""
    stop = HERE.get()
    return stop is not None and stop.given
