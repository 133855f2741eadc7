"""The processes that draw sheets, and the sheets drawn lately."""

from __future__ import annotations

from service.drawings.sheets.sheet_order import DrawingOrder, draw
from service.errors import TooManySheets
from service.http.sheets.sheet_cache import SheetCache
from service.planning_jobs.side_tasks import Places
from service.planning_jobs.worker_pool import WorkerPool

DRAWING = 2
"""Sheets drawn at the same time: one does not wait behind another that takes long, and solves keep most of the machine."""
MOST_ASKED = 16
"""Sheets drawn or waited for at once."""
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
        self._pool = WorkerPool(DRAWING, ("service.drawings.screen.views",))
        self._cache = SheetCache(KEPT_BYTES)
        self._asked = Places(MOST_ASKED, TooManySheets)

    def kept(self, key: str) -> bytes | None:
        """Return a sheet that was drawn before, None if it is not at hand."""
        return self._cache.kept(key)

    async def drawn(self, order: DrawingOrder, key: str) -> bytes:
        """Return a sheet by its order and the order's key, drawn if it is not at hand.

        Raises
        ------
        TooManySheets, TaskOverdue, TaskDied, Stopping
        """
        found = self._cache.kept(key)
        if found is not None:
            return found
        with self._asked.one():
            return await self._cache.content(key, lambda: self._draw(order))

    def stop(self) -> None:
        """End the processes."""
        self._pool.stop(1.0)

    async def _draw(self, order: DrawingOrder) -> bytes:
        content: bytes = await self._pool.answer("the drawing", draw, (order,), self._limit_s)
        return content
