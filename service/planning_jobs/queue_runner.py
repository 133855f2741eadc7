"""Jobs solved by workers elsewhere: this server only calls for them, and sees to it that no job is forgotten."""

from __future__ import annotations

import logging
from collections.abc import Callable

from inventory.errors import StoreError
from service.background import Rounds
from service.planning_jobs.job_news import JobNews
from service.planning_jobs.job_queue import JobQueue, NoQueue
from service.planning_jobs.job_solver import OnEnd
from service.planning_jobs.outcome import Outcome
from service.records.job import Job
from service.records.job_leases import JobLeases

log = logging.getLogger("holdwright.jobs")
ROUND_S = 2.0
"""How often it is looked for jobs that nobody is called for, s."""


class QueueRunner:
    """The port's adapter for workers on other machines."""

    def __init__(self, queue: JobQueue, leases: JobLeases, on_end: OnEnd, news: JobNews) -> None:
        self._queue = queue
        self._rounds = Rounds("job-queue", ROUND_S, queue_round(queue, leases, on_end, news))

    def start(self) -> None:
        """Open the queue and begin to look after it."""
        self._queue.open()
        self._rounds.start()

    def stop(self) -> None:
        """Leave the queue; the jobs are the workers' business."""
        self._rounds.stop(1.0)
        self._queue.close()

    @property
    def ready(self) -> bool:
        """Whether the queue is looked after; a job waits until there is a worker."""
        return self._rounds.alive

    def submit(self, job: Job) -> None:
        """Call a worker for a job that has just been saved."""
        try:
            self._queue.call(job.id, job.priority)
        except NoQueue as error:
            log.warning("a worker is called for job %s in the next round: %s", job.id, error)

    def cancel(self, id: str) -> None:
        """Nothing: the worker that has the job is told by the database."""


def queue_round(queue: JobQueue, leases: JobLeases, on_end: OnEnd, news: JobNews) -> Callable[[], None]:
    """Return what servers and workers do again and again: close jobs that are lost, call for those that nobody is called for."""

    def look() -> None:
        try:
            for job in leases.close_lost():
                on_end(job, Outcome(job.state, None if job.failure is None else job.failure.kind))
                news.changed(job.id)
            called = queue.call_for_waiting()
            if called:
                log.info("workers were called for %d jobs that waited for none", called)
        except (NoQueue, StoreError) as away:
            log.warning("the queue is looked after once the database answers again (%s)", type(away).__name__)

    return look
