"""Solves one job: takes what was claimed to its answer, in the thread that asks and a solving process.

Adapters say which job is next.
"""

from __future__ import annotations

import logging
import threading
from collections.abc import Callable, Mapping
from functools import partial
from typing import Any

from inventory.errors import InvalidDocument, StoreError
from service.background import Rounds
from service.errors import Stopping
from service.logs.about import about_job
from service.planning_jobs.job_in_hand import JobInHand
from service.planning_jobs.job_news import JobNews
from service.planning_jobs.kept_alternatives import finished_kit
from service.planning_jobs.ledger_files import LedgerFiles
from service.planning_jobs.outcome import Outcome, no_longer_valid
from service.planning_jobs.planner import Planner
from service.planning_jobs.scratch import Scratch
from service.planning_jobs.work import Work, work_of
from service.planning_jobs.worker_pool import WorkerPool
from service.records.job import Job
from service.records.job_leases import JobLeases
from service.records.jobs import JobRecords
from service.settings import Settings
from service.stockroom.kits import PlannedKit
from service.stockroom.stock_source import StockSource

log = logging.getLogger("holdwright.jobs")
_LOOK_S = 0.5
"""How often it is looked up which jobs in hand are to stop, and whether the workers are up, s; PostgreSQL tells sooner."""
_BACKSTOP_S = 5.0
"""The pool ends a solve that nobody has ended so long after any limit, s."""
_AGAIN_S = 0.5
"""How long after the store was away an answer is written again, s."""

OnEnd = Callable[[Job, Outcome], None]


class JobSolver:
    """Takes claimed jobs to their answers, any number of threads at a time.

    Parameters
    ----------
    leases : JobLeases
        The jobs this process works on.
    planner : Planner
        A function of a module; the solving processes import that module before they take their first job.
    on_end : callable
        Called with every job that has ended here, after its record is written.
    """

    def __init__(
        self, leases: JobLeases, stock: StockSource, settings: Settings, planner: Planner, on_end: OnEnd, news: JobNews
    ) -> None:
        self.leases, self._stock, self._settings = leases, stock, settings
        self._planner, self.on_end, self._news = planner, on_end, news
        self._ledgers = LedgerFiles.of(settings)
        self._pool = WorkerPool(settings.workers, (planner.__module__, "service.planning_jobs.work"))
        self._scratch = Scratch()
        self._lock = threading.Lock()
        self._in_hand: dict[str, JobInHand] = {}
        self._stopping = threading.Event()
        self._looks = Rounds("job-looks", _LOOK_S, self._look)
        self._renewals = Rounds("job-leases", settings.lease / 3, self._renew)
        news.when_changed(lambda id: self._looks.wake() if id in self._in_hand else None)

    def start(self) -> None:
        """Start the solving processes, and the threads that look after leases and cancels."""
        self._pool.start()
        self._looks.start()
        self._renewals.start()

    def stop(self, within_s: float = 3.0) -> None:
        """Drop all jobs in hand, which go back to the queue, and end the solving processes, within so many seconds."""
        self._stopping.set()
        for each in self._jobs_in_hand():
            each.drop()
        self._looks.stop(0.0)
        self._renewals.stop(0.0)
        self._pool.stop(within_s)

    def remove_scratch(self) -> None:
        """Remove this process's folder, once no thread works on a job any more."""
        self._scratch.remove()

    @property
    def ready(self) -> bool:
        """Whether the solving processes are up."""
        return self._pool.alive

    def cancel(self, id: str) -> None:
        """Have a job stop and keep its best plan so far, if it is in hand here."""
        found = self._in_hand.get(id)
        if found is not None:
            found.cancel()

    def solve(self, job: Job) -> None:
        """Take a job that was claimed to its answer.

        Returns once the answer is written, or the job was given back, or another process has it.
        """
        hand = JobInHand(job, self._settings.grace, self._settings.check_limit)
        with self._lock:
            self._in_hand[job.id] = hand
        try:
            if self._stopping.is_set():
                hand.drop()
            self._news.changed(job.id)
            with about_job(job.id):
                self._solve(hand)
        finally:
            with self._lock:
                del self._in_hand[job.id]
            self._news.changed(job.id)

    def close_lost(self) -> None:
        """Close the jobs whose process ended, and that are not to be started again."""
        for job in self.leases.close_lost():
            kind = None if job.failure is None else job.failure.kind
            self.on_end(job, Outcome(job.state, kind))
            self._news.changed(job.id)

    def _solve(self, hand: JobInHand) -> None:
        job, content = hand.job, None
        try:
            if hand.dropped:
                end = None
            else:
                work = work_of(job, self._stock, self._find_plan)
                content, end = work.content, self._worked(hand, work)
        except InvalidDocument as bad:
            end = no_longer_valid(bad.faults)
        except StoreError as away:
            log.warning("job %s goes back to the queue: %s", job.id, type(away).__name__)
            hand.drop()
            end = None
            self._stopping.wait(_AGAIN_S)  # it comes back to us at once, and what is away is still away
        except Stopping:
            hand.drop()
            end = None
        except Exception as mistake:
            log.exception("job %s could not be worked on", job.id)
            says = f"it could not be worked on ({type(mistake).__name__}); the server's log has the details under the job's id"
            end = Outcome("failed", "internal", says)
        if end is not None and not hand.lost:
            self._answer(hand, end, content)
        elif hand.dropped and not hand.lost:
            self._until_written(partial(self.leases.give_back, job.id))

    def _worked(self, hand: JobInHand, work: Work) -> Outcome | None:
        """Have a process do the work; return how it ended, None if that is not wanted any more."""
        job = hand.job
        limit_s = self._settings.check_limit + self._settings.time_limit + _BACKSTOP_S
        while True:
            with self._scratch.job_folder(job.id) as folder:
                task, arguments = work.task(self._planner, folder, self._ledgers)
                future = self._pool.run(task, arguments, limit_s)
                hand.watch(future, folder, partial(self._write_events, job.id))
                if not hand.wanted:
                    return None
                end = work.outcome(future, folder, hand.cancelled)
                if end is not None:
                    return end
            # The pool broke before a worker took the task: nobody's fault, so it starts again.

    def _write_events(self, id: str, events: list[Any], best: Mapping[str, Any] | None) -> bool:
        written = self.leases.add_events(id, events, best)
        self._news.changed(id)
        return written

    def _answer(self, hand: JobInHand, end: Outcome, content: str | None) -> None:
        job = hand.job
        write = partial(self.leases.finish, job.id, end.state, end.document, end.failure, hand.unwritten, content, end.score)
        try:
            written = self._until_written(write)
        except Exception:
            log.exception("the answer of job %s could not be written", job.id)
            says = "its answer could not be written; the server's log has the details under the job's id"
            end = Outcome("failed", "internal", says)
            written = self._until_written(partial(self.leases.finish, job.id, end.state, None, end.failure))
        if written:
            self.on_end(job, end)

    def _find_plan(self, id: str) -> PlannedKit | None:
        return finished_kit(JobRecords(self.leases.database, "", 1, 1), id)

    def _until_written(self, write: Callable[[], Any]) -> Any:
        """Write, again and again while the store is away; None if this process ends meanwhile, and the lease will run out."""
        while True:
            try:
                return write()
            except StoreError as away:
                log.warning("what became of a job is written once the store answers again (%s)", type(away).__name__)
                if self._stopping.wait(_AGAIN_S):
                    return None

    def _look(self) -> None:
        self._pool.mend()
        in_hand = self._jobs_in_hand()
        if not in_hand:
            return
        try:
            held = self.leases.held()
        except StoreError:
            return  # nothing is known: the next look tells
        for each in in_hand:
            if each.job.id in held.to_stop and not each.cancelled:
                each.cancel()
            elif each.job.id not in held.jobs:
                each.lose()

    def _renew(self) -> None:
        ids = [each.job.id for each in self._jobs_in_hand()]
        if ids:
            try:
                self.leases.renew(ids)
            except StoreError as away:
                log.warning("leases are renewed once the store answers again (%s)", type(away).__name__)

    def _jobs_in_hand(self) -> list[JobInHand]:
        with self._lock:
            return list(self._in_hand.values())
