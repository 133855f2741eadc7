"""One job a thread works on: what others tell that thread, and what it looks at until the solving process has ended."""

from __future__ import annotations

import math
import threading
import time
from collections.abc import Callable, Mapping
from typing import Any

from pebble import ProcessFuture

from inventory.errors import StoreError
from service.documents.plan_document import alternative_document
from service.planning_jobs.job_folder import BestReader, JobFolder, ProgressReader
from service.records.job import Job

_LOOK_S = 0.1
"""How often a folder is looked at for what the solving process has begun and told, s."""
_TO_END_S = 5.0
"""A solving process that has handed its plan over at its limit has so long to end, s."""
EVENTS_S = 0.2
"""Progress is written down no more often than this, s."""

BEST_S = 2.0
"""A better plan is written down no more often than this, s: people watch it, and it is hundreds of kilobytes."""

WriteEvents = Callable[[list[Mapping[str, Any]], Mapping[str, Any] | None], bool]
"""Writes progress down, and the best alternative so far if it is a new one; says whether the job is still this process's."""


class JobInHand:
    """A job that is worked on here: asked to stop, lost to another process, or dropped.

    Parameters
    ----------
    grace_s, begin_s : float
        A solving process that was asked to stop and does not is ended so long after, s; one that has not begun so long after it
        was asked is ended too, s.
    """

    def __init__(self, job: Job, grace_s: float, begin_s: float) -> None:
        self.job, self._grace_s, self._begin_s = job, grace_s, begin_s
        self.cancelled, self.lost, self.dropped = job.cancel_asked, False, False
        self.unwritten: list[Mapping[str, Any]] = []
        self._unwritten_best: Mapping[str, Any] | None = None
        self._news = threading.Event()

    def cancel(self) -> None:
        """Have the job stop and keep its best plan so far."""
        self.cancelled = True
        self._news.set()

    def lose(self) -> None:
        """Say that another process has the job now, or nobody: its answer is not wanted from here."""
        self.lost = True
        self._news.set()

    def drop(self) -> None:
        """Say that this process ends: the job goes back to the queue."""
        self.dropped = True
        self._news.set()

    @property
    def wanted(self) -> bool:
        """Whether an answer is still wanted from here."""
        return not (self.lost or self.dropped)

    def watch(self, future: ProcessFuture[Any], folder: JobFolder, write: WriteEvents) -> None:
        """Return once the solving process has ended, or was ended: at its limit, after a cancel, or because it is not wanted.

        Parameters
        ----------
        write : callable
            Raises StoreError.
        """
        future.add_done_callback(lambda _: self._news.set())
        reader, best, asked = ProgressReader(folder), BestReader(folder), False
        next_write = next_best = 0.0
        ends = math.inf
        begins_by = time.monotonic() + self._begin_s
        began = False
        while not future.done():
            at = time.monotonic()
            if not began and (limit := folder.ends_at()) is not None:
                began, ends = True, min(ends, limit)
            if self.cancelled and not asked:
                asked, ends = True, min(ends, at + self._grace_s)
                folder.ask_to_stop()
            overdue = at >= ends and (at >= ends + _TO_END_S or not folder.has_plan("plan"))
            if overdue or not self.wanted or (not began and at >= begins_by):
                future.cancel()  # type: ignore[no-untyped-call]
                break
            self.unwritten += reader.new()
            if at >= next_best and (found := best.new()) is not None:
                next_best = at + BEST_S
                self._unwritten_best = alternative_document(found)
            if (self.unwritten or self._unwritten_best) and at >= next_write:
                next_write = at + EVENTS_S
                self._write(write)
            self._news.wait(max(0.0, min(_LOOK_S, ends - time.monotonic() if ends > at else _LOOK_S)))
            self._news.clear()
        self.unwritten += reader.new()

    def _write(self, write: WriteEvents) -> None:
        try:
            if not write(self.unwritten, self._unwritten_best):
                self.lose()
            self.unwritten, self._unwritten_best = [], None
        except StoreError:  # the store is away: they are written with the next ones, or with the answer
            return
