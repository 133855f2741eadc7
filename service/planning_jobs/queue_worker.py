"""A worker of the queue: takes up the jobs it is called for, on this machine, until it is told to stop."""

from __future__ import annotations

import asyncio
import contextlib
import logging
from concurrent.futures import ThreadPoolExecutor
from typing import TYPE_CHECKING

from service.background import Rounds
from service.planning_jobs.job_news import JobNews
from service.planning_jobs.job_queue import QUEUE, TASK, JobQueue, queue_app
from service.planning_jobs.job_solver import JobSolver
from service.planning_jobs.queue_runner import ROUND_S, queue_round

if TYPE_CHECKING:
    from procrastinate import App

log = logging.getLogger("holdwright.jobs")
_LOOK_S = 1.0
_AGAIN_S = 1.0
_STOP_S = 5.0


class QueueWorker:
    """Solves the jobs of a queue, so many at a time.

    Parameters
    ----------
    url : str
        The database as its driver reads it.
    workers : int
        Jobs solved at the same time.
    lease_s : float
        A worker not heard of for so long has no say in the queue any more, s.
    """

    def __init__(self, url: str, queue: JobQueue, solver: JobSolver, news: JobNews, workers: int, lease_s: float) -> None:
        self._url, self._queue, self._solver, self._news = url, queue, solver, news
        self._workers, self._lease_s = workers, lease_s
        self._threads = ThreadPoolExecutor(workers, "holdwright-solve")
        self._rounds = Rounds("job-queue", ROUND_S, queue_round(queue, solver.leases, solver.on_end, news))
        self._stopping = asyncio.Event()

    async def run(self) -> None:
        """Work until told to stop; what is at work then goes back to the queue. A database that is away is waited for."""
        await asyncio.to_thread(self._queue.open)
        self._solver.start()
        self._news.start()
        self._rounds.start()
        try:
            while not self._stopping.is_set():
                await self._work()
        finally:
            await asyncio.to_thread(self._end)

    def stop(self) -> None:
        """Have the worker stop; to be called in its event loop."""
        self._stopping.set()

    async def _work(self) -> None:
        """Take up jobs until told to stop or the database is away; then return after a moment."""
        app = queue_app(self._url, asynchronous=True)
        app.task(name=TASK, queue=QUEUE)(self._take_up)
        stopping = asyncio.create_task(self._stopping.wait())
        try:
            async with app.open_async():
                work = asyncio.create_task(
                    app.run_worker_async(
                        queues=[QUEUE], concurrency=self._workers, install_signal_handlers=False, delete_jobs="always",
                        fetch_job_polling_interval=_LOOK_S, update_heartbeat_interval=self._lease_s / 3,
                        stalled_worker_timeout=3 * self._lease_s, shutdown_graceful_timeout=_STOP_S,
                    )
                )  # fmt: skip
                sweep = asyncio.create_task(self._forget_stalled(app))
                await asyncio.wait({work, stopping}, return_when=asyncio.FIRST_COMPLETED)
                sweep.cancel()
                if stopping.done():
                    await asyncio.to_thread(self._solver.stop)
                    work.cancel()
                with contextlib.suppress(asyncio.CancelledError):
                    await work
        except Exception as lost:  # whatever the library says of a database that is away: it is asked again
            log.warning("the queue is asked again once the database answers (%s)", type(lost).__name__)
        finally:
            stopping.cancel()
        if not self._stopping.is_set():
            await asyncio.sleep(_AGAIN_S)

    async def _take_up(self, job: str) -> None:
        await asyncio.get_running_loop().run_in_executor(self._threads, self._solve, job)

    def _solve(self, id: str) -> None:
        job = self._solver.leases.claim(id)
        if job is not None:
            self._solver.solve(job)

    async def _forget_stalled(self, app: App) -> None:
        """Remove the calls that workers had who are gone; a job of theirs is called for anew once its lease has run out."""
        from procrastinate.exceptions import ProcrastinateException
        from procrastinate.jobs import Status

        while True:
            try:
                for entry in await app.job_manager.get_stalled_jobs(queue=QUEUE, seconds_since_heartbeat=3 * self._lease_s):
                    if entry.id is not None:
                        await app.job_manager.finish_job_by_id_async(entry.id, Status.FAILED, delete_job=True)
            except ProcrastinateException as error:  # another worker was first, or the database is away: the next look tells
                log.info("calls of workers that are gone are removed later (%s)", type(error).__name__)
            await asyncio.sleep(self._lease_s)

    def _end(self) -> None:
        self._solver.stop()
        self._rounds.stop(1.0)
        self._threads.shutdown(wait=True, cancel_futures=True)
        self._news.stop()
        self._solver.remove_scratch()
        self._queue.close()
