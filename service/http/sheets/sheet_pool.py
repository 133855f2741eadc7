"""The processes that draw sheets, and the sheets drawn lately."""

from __future__ import annotations

import threading

from service.drawings.sheets.sheet_order import SheetOrder, draw
from service.errors import TooManySheets
from service.http.sheets.sheet_cache import SheetCache
from service.planning_jobs.worker_pool import WorkerPool

DRAWING = 2
"""Sheets drawn at the same time: one does not wait behind another that takes long, and solves keep most of the machine."""
MOST_ASKED = 16
"""Sheets drawn or waited for at once: each holds one of the server's forty threads, and others must find some."""
KEPT_BYTES = 64_000_000
"""A sheet to print has a few hundred kilobytes: those of all jobs a shop works on fit in."""


class SheetPool:
    """Draws sheets in processes of their own, started when first needed, and keeps what was drawn.

    Parameters
    ----------
    limit_s : float
        A drawing that takes longer is ended.
    """

    def __init__(self, limit_s: float) -> None:
        self._limit_s = limit_s
        self._pool = WorkerPool(DRAWING, ("service.drawings.sheets.sheet_order",))
        self._cache = SheetCache(KEPT_BYTES)
        self._asked = threading.BoundedSemaphore(MOST_ASKED)

    def kept(self, key: str) -> bytes | None:
        """Return a sheet that was drawn before, None if it is not at hand."""
        return self._cache.kept(key)

    def drawn(self, order: SheetOrder, key: str) -> bytes:
        """Return a sheet by its order and the order's key, drawn if it is not at hand.

        Raises
        ------
        TooManySheets, TaskOverdue, TaskDied
        """
        found = self._cache.kept(key)
        if found is not None:
            return found
        if not self._asked.acquire(blocking=False):
            raise TooManySheets(MOST_ASKED)
        try:
            return self._cache.content(key, lambda: self._draw(order))
        finally:
            self._asked.release()

    def stop(self) -> None:
        """End the processes."""
        self._pool.stop()

    def _draw(self, order: SheetOrder) -> bytes:
        content: bytes = self._pool.answer("the drawing", draw, (order,), self._limit_s)
        return content
