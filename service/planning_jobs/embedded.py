"""Jobs solved by this server itself: as many threads as there are workers take them from the table, one after the other.

Several servers on one database share its jobs.
"""

from __future__ import annotations

import logging
import threading

from inventory.errors import StoreError
from service.background import Rounds
from service.planning_jobs.job_news import JobNews
from service.planning_jobs.job_solver import JobSolver
from service.records.job import Job

log = logging.getLogger("holdwright.jobs")
_LOOK_S = 1.0
"""How often an idle thread looks for a job nobody has told it of, s."""
_STOP_S = 4.0


class EmbeddedRunner:
    """The port's embedded adapter.

    Parameters
    ----------
    workers : int
        Jobs solved at the same time.
    """

    def __init__(self, solver: JobSolver, workers: int, news: JobNews) -> None:
        self._solver = solver
        self._calls, self._stopping = threading.Semaphore(0), threading.Event()
        self._threads = [
            threading.Thread(target=self._take_up, name=f"holdwright-solve-{number}", daemon=True) for number in range(workers)
        ]
        self._lost = Rounds("lost-jobs", _LOOK_S, solver.close_lost)
        news.when_queued(self._calls.release)

    def start(self) -> None:
        """Start the solver and the threads."""
        self._solver.start()
        self._lost.start()
        for thread in self._threads:
            thread.start()

    def stop(self) -> None:
        """Stop taking up jobs; those in hand go back to the queue."""
        self._stopping.set()
        self._lost.stop(0.0)
        for _ in self._threads:
            self._calls.release()
        self._solver.stop()
        for thread in self._threads:
            if thread.is_alive():
                thread.join(_STOP_S / len(self._threads))
        self._solver.remove_scratch()

    @property
    def ready(self) -> bool:
        """Whether the threads and the solving processes are up."""
        return all(thread.is_alive() for thread in self._threads) and self._solver.ready

    def submit(self, job: Job) -> None:
        """Have an idle thread look for a job."""
        self._calls.release()

    def cancel(self, id: str) -> None:
        """Have a job that is solved here stop."""
        self._solver.cancel(id)

    def _take_up(self) -> None:
        while not self._stopping.is_set():
            while self._calls.acquire(blocking=False):
                pass  # this look answers all calls there are
            try:
                job = self._solver.leases.claim()
                if job is not None:
                    self._calls.release()  # there may be more than one: the next idle thread looks, too
                    self._solver.solve(job)
                    continue
            except StoreError as away:
                log.warning("jobs are taken up once the store answers again (%s)", type(away).__name__)
            except Exception:
                # The thread must outlive our own mistakes.
                log.exception("taking up a job failed")
            self._calls.acquire(timeout=_LOOK_S)
