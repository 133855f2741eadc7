"""Sheets that were drawn lately, so many bytes of them; what several ask for at once is drawn once."""

from __future__ import annotations

import asyncio
from collections import OrderedDict
from collections.abc import Callable, Coroutine
from functools import partial
from typing import Any


class SheetCache:
    """Contents by what they depend on; those not asked for longest are forgotten first. Of one event loop.

    Parameters
    ----------
    most_bytes : int
        What is kept together; a content larger than that is not kept.
    """

    def __init__(self, most_bytes: int) -> None:
        self._most_bytes = most_bytes
        self._kept: OrderedDict[str, bytes] = OrderedDict()
        self._bytes = 0
        self._under_way: dict[str, asyncio.Task[bytes]] = {}
        self._waiting: dict[str, int] = {}

    def kept(self, key: str) -> bytes | None:
        """Return a content that is at hand, None if it is not."""
        if key in self._kept:
            self._kept.move_to_end(key)
        return self._kept.get(key)

    async def content(self, key: str, make: Callable[[], Coroutine[Any, Any, bytes]]) -> bytes:
        """Return a content, made now if it is neither at hand nor under way; what `make` raises is passed on to all.

        Once all who wait for it have left, making it is given up.
        """
        found = self.kept(key)
        if found is not None:
            return found
        making = self._under_way.get(key)
        if making is None:
            making = self._under_way[key] = asyncio.create_task(make())
            making.add_done_callback(partial(self._made, key))
        self._waiting[key] = self._waiting.get(key, 0) + 1
        try:
            return await asyncio.shield(making)
        finally:
            self._waiting[key] -= 1
            if not self._waiting[key]:
                del self._waiting[key]
                making.cancel()

    def _made(self, key: str, making: asyncio.Task[bytes]) -> None:
        del self._under_way[key]
        if not making.cancelled() and making.exception() is None:
            self._keep(key, making.result())

    def _keep(self, key: str, made: bytes) -> None:
        if len(made) > self._most_bytes:
            return
        self._kept[key] = made
        self._bytes += len(made)
        while self._bytes > self._most_bytes:
            _, oldest = self._kept.popitem(last=False)
            self._bytes -= len(oldest)
