"""Sheets that were drawn lately, so many bytes of them; what several ask for at once is drawn once."""

from __future__ import annotations

import threading
from collections import OrderedDict
from collections.abc import Callable
from concurrent.futures import Future


class SheetCache:
    """Contents by what they depend on; those not asked for longest are forgotten first. Any number of threads may ask.

    Parameters
    ----------
    most_bytes : int
        What is kept together; a content larger than that is not kept.
    """

    def __init__(self, most_bytes: int) -> None:
        self._most_bytes = most_bytes
        self._lock = threading.Lock()
        self._kept: OrderedDict[str, bytes] = OrderedDict()
        self._bytes = 0
        self._under_way: dict[str, Future[bytes]] = {}

    def kept(self, key: str) -> bytes | None:
        """Return a content that is at hand, None if it is not."""
        with self._lock:
            if key in self._kept:
                self._kept.move_to_end(key)
            return self._kept.get(key)

    def content(self, key: str, make: Callable[[], bytes]) -> bytes:
        """Return a content, made here and now if it is neither at hand nor under way; what `make` raises is passed on to all."""
        with self._lock:
            if key in self._kept:
                self._kept.move_to_end(key)
                return self._kept[key]
            waited_for = self._under_way.get(key)
            if waited_for is None:
                mine = self._under_way[key] = Future()
        if waited_for is not None:
            return waited_for.result()
        try:
            made = make()
        except BaseException as error:
            with self._lock:
                del self._under_way[key]
            mine.set_exception(error)
            raise
        with self._lock:
            del self._under_way[key]
            self._keep(key, made)
        mine.set_result(made)
        return made

    def _keep(self, key: str, made: bytes) -> None:
        if len(made) > self._most_bytes:
            return
        self._kept[key] = made
        self._bytes += len(made)
        while self._bytes > self._most_bytes:
            _, oldest = self._kept.popitem(last=False)
            self._bytes -= len(oldest)
