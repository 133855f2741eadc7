"""The solving processes: a pool that outlives its workers' deaths.

A worker killed from outside fails only the task it was at. The pool library gives up when an idle worker dies, so
a new one is then put up.
"""

from __future__ import annotations

import asyncio
import logging
import multiprocessing
import os
import signal
import threading
from collections.abc import Callable
from concurrent.futures import TimeoutError
from concurrent.futures.process import BrokenProcessPool
from typing import Any

from pebble import ProcessExpired, ProcessFuture, ProcessPool

from service.errors import Stopping, TaskDied, TaskOverdue
from service.logs.form import LogForm, log_form
from service.planning_jobs.loading import load
from service.planning_jobs.parent_watch import end_with

log = logging.getLogger("holdwright.jobs")


class WorkerPool:
    """Worker processes, started afresh (spawn) and warmed up by importing what they will need.

    Parameters
    ----------
    workers : int
        Tasks that may run at the same time.
    warm : tuple of str
        Modules each worker imports before it takes its first task.
    """

    def __init__(self, workers: int, warm: tuple[str, ...]) -> None:
        self._workers, self._warm = workers, warm
        self._lock = threading.Lock()
        self._pool: ProcessPool | None = None
        self._stopped = False

    def start(self) -> None:
        """Start the workers without waiting for them to be warm."""
        with self._lock:
            self._running_pool()

    def run(self, task: Callable[..., Any], args: tuple[Any, ...], limit_s: float) -> ProcessFuture[Any]:
        """Hand a task to a worker; it is killed `limit_s` after it has started.

        Raises
        ------
        Stopping
            The pool was stopped.
        """
        with self._lock:
            try:
                return self._running_pool().schedule(task, args=args, timeout=limit_s)
            except RuntimeError:
                log.warning("the worker pool broke; a new one is put up")
                self._drop()
                return self._running_pool().schedule(task, args=args, timeout=limit_s)

    async def answer(self, what: str, task: Callable[..., Any], args: tuple[Any, ...], limit_s: float) -> Any:
        """Have a worker do a task and return what it answers; a task whose pool broke under it is handed over once more.

        Who waits holds no thread; one that is cancelled ends the task.

        Parameters
        ----------
        what : str
            What it does, for whoever waits: ``the check``.

        Raises
        ------
        TaskOverdue, TaskDied, Stopping
        """
        for last in (False, True):
            try:
                return await asyncio.wrap_future(self.run(task, args, limit_s))
            except TimeoutError:
                raise TaskOverdue(f"{what} took longer than {limit_s:g} s") from None
            except ProcessExpired as died:
                raise TaskDied(what, died.exitcode) from None
            except BrokenProcessPool:
                if last:
                    raise
            except asyncio.CancelledError:
                if self._stopped:  # the pool has dropped the task, not the caller
                    raise Stopping from None
                raise
        raise AssertionError("unreachable")

    @property
    def alive(self) -> bool:
        """Whether the pool is up."""
        pool = self._pool
        return pool is not None and bool(pool.active)

    def mend(self) -> None:
        """Put a pool up again that was started and broke, as one does whose idle worker was killed."""
        with self._lock:
            if self._pool is not None and not self._stopped:
                self._running_pool()

    def stop(self, within_s: float = 3.0) -> None:
        """Kill the workers and whatever they are at; wait for it no longer than so many seconds."""
        with self._lock:
            self._stopped = True
            self._drop(within_s)

    def _running_pool(self) -> ProcessPool:
        if self._stopped:
            raise Stopping
        if self._pool is not None and not self._pool.active:
            self._drop()
        if self._pool is None:
            context = multiprocessing.get_context("spawn")
            warm = (self._warm, os.getpid(), log_form())
            self._pool = ProcessPool(self._workers, initializer=warm_up, initargs=warm, context=context)
            _ = self._pool.active  # asking for its state starts it
        return self._pool

    def _drop(self, within_s: float = 3.0) -> None:
        if self._pool is not None:
            self._pool.stop()  # type: ignore[no-untyped-call]
            # Joining waits for every worker in turn, and for a task that is still being handed over.
            join = threading.Thread(target=self._pool.join, name="holdwright-pool-end", daemon=True)
            join.start()
            join.join(within_s)
            self._pool = None


def warm_up(modules: tuple[str, ...], parent: int, log_as: LogForm | None) -> None:
    """Make a worker ready: it imports, logs as its parent, ends when told to, and with a parent that died without telling."""
    signal.signal(signal.SIGTERM, signal.SIG_DFL)
    threading.Thread(target=end_with, args=(parent,), daemon=True).start()
    if log_as is not None:
        from service.logs.lines import write_log

        write_log(log_as)
    load(*modules)
