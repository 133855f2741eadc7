"""News of jobs: whoever waits for one is woken when it has changed, wherever it is solved, without holding a thread."""

from __future__ import annotations

import asyncio
import logging
import threading
from collections import defaultdict
from collections.abc import Callable

from service.background import Rounds
from service.records.database import Database
from service.records.news import CHANGED, listen

log = logging.getLogger("holdwright.jobs")
_AGAIN_S = 1.0


class JobNews:
    """Who waits for which job here, and what is heard of jobs elsewhere.

    Parameters
    ----------
    database : Database
        Whose word of other processes is heard, where it has one.
    """

    def __init__(self, database: Database) -> None:
        self._database = database
        self._lock = threading.Lock()
        self._waiting: defaultdict[str, set[tuple[asyncio.AbstractEventLoop, asyncio.Event]]] = defaultdict(set)
        self._on_queued: list[Callable[[], None]] = []
        self._on_changed: list[Callable[[str], None]] = []
        self._deaf = False
        self._rounds = Rounds("news", _AGAIN_S, self._listen)

    def start(self) -> None:
        """Begin to hear what other processes tell."""
        self._rounds.start()

    def stop(self) -> None:
        """Hear no more; whoever still waits is woken."""
        self._rounds.stop(1.0)
        for job in list(self._waiting):
            self.changed(job)

    def when_queued(self, call: Callable[[], None]) -> None:
        """Have this called when another process says that a job was queued."""
        self._on_queued.append(call)

    def when_changed(self, call: Callable[[str], None]) -> None:
        """Have this called with the id of every job that another process says has changed."""
        self._on_changed.append(call)

    def changed(self, job: str) -> None:
        """Wake whoever waits for this job; from any thread."""
        with self._lock:
            waiting = list(self._waiting.get(job, ()))
        for loop, event in waiting:
            try:
                loop.call_soon_threadsafe(event.set)
            except RuntimeError:  # its loop has ended, and nobody waits there any more
                continue

    def waiting_for(self, job: str) -> Waiter:
        """Return a waiter, to be entered before the job is first looked at so that no news is missed."""
        return Waiter(self, job)

    def _listen(self) -> None:
        try:
            listen(self._database.engine, self._hear, lambda: self._rounds.stopping)
            self._deaf = False
        except Exception as lost:  # whatever the driver says: the next round listens anew, and waiters look by themselves
            if not self._deaf:
                log.warning("news of jobs elsewhere come late until the database answers again (%s)", type(lost).__name__)
            self._deaf = True

    def _hear(self, channel: str, job: str) -> None:
        self._deaf = False
        if channel == CHANGED:
            self.changed(job)
            for tell in self._on_changed:
                tell(job)
        else:
            for call in self._on_queued:
                call()


class Waiter:
    """Waits for news of one job; used as a context."""

    def __init__(self, news: JobNews, job: str) -> None:
        self._news, self._job = news, job
        self._event = asyncio.Event()
        self._entry = (asyncio.get_running_loop(), self._event)

    def __enter__(self) -> Waiter:
        with self._news._lock:
            self._news._waiting[self._job].add(self._entry)
        return self

    def __exit__(self, *raised: object) -> None:
        with self._news._lock:
            entries = self._news._waiting[self._job]
            entries.discard(self._entry)
            if not entries:
                del self._news._waiting[self._job]

    async def next(self, seconds: float) -> None:
        """Return once there is news since the last call, or after so many seconds."""
        try:
            async with asyncio.timeout(seconds):
                await self._event.wait()
        except TimeoutError:
            return
        finally:
            self._event.clear()
