"""Jobs solved by this server's own worker processes; one thread looks after them, the queue is the table of jobs."""

from __future__ import annotations

import json
import logging
import math
import shutil
import tempfile
import threading
import time
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from pebble import ProcessFuture

from inventory.errors import HoldwrightError, InvalidDocument
from inventory.stock import StockSnapshot
from service.documents import plan_document, read_request
from service.logs.about import about_job
from service.planning_jobs.child import solve
from service.planning_jobs.job_folder import JobFolder
from service.planning_jobs.ledger_files import LedgerFiles
from service.planning_jobs.outcome import Outcome, outcome
from service.planning_jobs.planner import Planner
from service.planning_jobs.worker_pool import WorkerPool
from service.records.job import Job
from service.records.jobs import JobRecords
from service.records.writes import Asked
from service.settings import Settings
from service.stockroom.stock_source import StockSource
from solver.request import Request

log = logging.getLogger("holdwright.jobs")
_TICK_S = 0.1
_LOOK_S = 1.0
_BACKSTOP_S = 5.0
"""The pool ends a solve that nobody has ended so long after its time limit."""
_KEPT_EVENTS = 256

OnEnd = Callable[[Job, Outcome], None]


@dataclass(slots=True)
class _Running:
    job: Job
    request: Request
    folder: JobFolder
    future: ProcessFuture[Any]
    cancelled: bool = False
    ends_at: float | None = None

    def overdue(self, at: float) -> bool:
        """Whether the job is to be ended now: its time is up, or it was asked to stop and did not, and no answer is there."""
        if self.ends_at is None:
            self.ends_at = self.folder.ends_at()
        return self.ends_at is not None and at >= self.ends_at and not self.folder.has_plan("plan")


class EmbeddedRunner:
    """The port's embedded adapter.

    Parameters
    ----------
    planner : Planner
        A function of a module; the workers import that module before they take their first job.
    on_end : callable
        Called with every job that has ended here, after its record is written.
    """

    def __init__(self, records: JobRecords, stock: StockSource, settings: Settings, planner: Planner, on_end: OnEnd) -> None:
        self._records, self._stock, self._settings = records, stock, settings
        self._planner, self._on_end = planner, on_end
        self._ledgers = LedgerFiles.of(settings)
        self._pool = WorkerPool(settings.workers, (planner.__module__, "service.planning_jobs.child"))
        self._folder = Path(tempfile.mkdtemp(prefix="holdwright-jobs-"))
        self._read: dict[str, Request] = {}
        self._running: dict[str, _Running] = {}
        self._events: dict[str, list[dict[str, Any]]] = {}
        self._wake, self._stopping = threading.Event(), threading.Event()
        self._thread = threading.Thread(target=self._loop, name="holdwright-jobs", daemon=True)
        self._next_look = self._next_renewal = 0.0

    def start(self) -> None:
        """Start the workers and the thread that looks after them."""
        self._pool.start()
        self._thread.start()

    def stop(self) -> None:
        """End the workers; jobs they were at go back to the queue."""
        self._stopping.set()
        self._wake.set()
        if self._thread.is_alive():
            self._thread.join()
        self._pool.stop()
        try:
            self._records.give_back()
        except HoldwrightError:
            log.exception("running jobs could not be given back; their lease will run out")
        shutil.rmtree(self._folder, ignore_errors=True)

    @property
    def ready(self) -> bool:
        """Whether the workers and their thread are up."""
        return self._thread.is_alive() and self._pool.alive

    def submit(self, job: Job, request: Request) -> None:
        """Remember the request as read and take the job up as soon as a worker is free."""
        self._read[job.id] = request
        self._next_look = 0.0
        self._wake.set()

    def cancel(self, id: str, asked: Asked | None = None) -> Job | None:
        """Cancel a job: at once if it waits, else it is asked to stop and, if it does not, killed."""
        job = self._records.ask_cancel(id, asked)
        if job is not None and not job.open:
            self._read.pop(id, None)
        self._ask_to_stop(id)
        return job

    def at_work(self, id: str) -> bool:
        """Whether the job is waiting or running here."""
        return id in self._read or id in self._running

    def events(self, id: str, start: int) -> list[dict[str, Any]] | None:
        """Return progress events from number `start` on, of jobs running here or just ended."""
        running = self._running.get(id)
        if running is not None:
            return running.folder.events(start)
        ended = self._events.get(id)
        return None if ended is None else ended[start:]

    def _loop(self) -> None:
        while not self._stopping.is_set():
            self._wake.wait(self._until_next_end())
            self._wake.clear()
            try:
                self._round()
            except Exception:
                # The thread must outlive a full disk, a lost database and our own mistakes alike; the next round tries again.
                log.exception("a round of looking after jobs failed")
                self._stopping.wait(_LOOK_S)

    def _until_next_end(self) -> float:
        """Return how long to wait before the next round, s: a tick, less where a job is to be ended sooner."""
        ends = [running.ends_at for running in self._running.values() if running.ends_at is not None]
        soonest = min(ends, default=math.inf) - time.monotonic()
        return soonest if 0.0 < soonest < _TICK_S else _TICK_S

    def _round(self) -> None:
        at = time.monotonic()
        for running in list(self._running.values()):
            if running.overdue(at):
                running.future.cancel()  # type: ignore[no-untyped-call]
            if running.future.done():
                with about_job(running.job.id):
                    self._close(running)
        if at >= self._next_renewal:
            self._next_renewal = at + self._settings.lease / 3
            self._renew()
        if at >= self._next_look or self._wake.is_set():
            while len(self._running) < self._settings.workers and (job := self._records.claim()) is not None:
                with about_job(job.id):
                    self._begin(job)
            self._next_look = time.monotonic() + _LOOK_S

    def _renew(self) -> None:
        if not self._running:
            return
        for id in self._records.renew():
            self._ask_to_stop(id)
        for id, running in self._running.items():
            if events := running.folder.events():
                self._records.progress(id, events[-1])

    def _ask_to_stop(self, id: str) -> None:
        running = self._running.get(id)
        if running is not None and not running.cancelled:
            running.cancelled = True
            running.folder.ask_to_stop()
            grace = time.monotonic() + self._settings.grace
            running.ends_at = min(grace, running.folder.ends_at() or grace)

    def _begin(self, job: Job) -> None:
        request = self._read.get(job.id)
        try:
            if job.attempts > self._settings.attempts:
                self._end(job, Outcome("failed", "interrupted", "its server ended while it ran"))
                return
            if request is None:
                request, _ = read_request(json.loads(job.request), self._stock.snapshot())
            stock = self._stock.snapshot(request.needed)
        except InvalidDocument as bad:
            self._end(job, Outcome("failed", "invalid", "the request no longer fits the stock", faults=bad.faults))
            return
        self._running[job.id] = self._started(job, request, stock)
        self._read.pop(job.id, None)
        if job.cancel_asked:
            self._ask_to_stop(job.id)

    def _started(self, job: Job, request: Request, stock: StockSnapshot) -> _Running:
        """Hand a job to the workers, with a folder of its own."""
        folder = JobFolder(Path(tempfile.mkdtemp(prefix=f"{job.id}-", dir=self._folder)))
        limit = request.time_limit_s + _BACKSTOP_S
        future = self._pool.run(solve, (self._planner, request, stock, folder, (), self._ledgers, job.id), limit)
        future.add_done_callback(lambda _: self._wake.set())
        return _Running(job, request, folder, future)

    def _close(self, running: _Running) -> None:
        job, folder = running.job, running.folder
        end = outcome(running.future, folder, running.cancelled)
        if end is None:  # the pool broke before a worker took the task: nobody's fault, so the job starts again
            again = self._started(job, running.request, self._stock.snapshot(running.request.needed))
            self._running[job.id] = again
            shutil.rmtree(folder.folder, ignore_errors=True)
            if running.cancelled:
                self._ask_to_stop(job.id)
            return
        events = folder.events()
        self._end(job, end, events[-1] if events else None)
        self._events[job.id] = events
        while len(self._events) > _KEPT_EVENTS:
            self._events.pop(next(iter(self._events)))
        self._running.pop(job.id)
        shutil.rmtree(folder.folder, ignore_errors=True)
        self._next_look = 0.0

    def _end(self, job: Job, end: Outcome, progress: dict[str, Any] | None = None) -> None:
        plan = None if end.plan is None else plan_document(end.plan)
        self._records.finish(job.id, end.state, plan, end.failure, progress)
        self._read.pop(job.id, None)
        self._on_end(job, end)
