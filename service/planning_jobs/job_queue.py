"""The queue of jobs on PostgreSQL, by procrastinate: which worker, on whichever machine, looks at which job next.

An entry is no more than a call to look at a job's record, which is the truth: it says whether there is still something to do. An
entry too many does nothing; one too few is made up for by the next round.
"""

from __future__ import annotations

import logging
from typing import TYPE_CHECKING

from inventory.errors import HoldwrightError
from service.errors import NotInstalled
from service.records.database import Database, alone, driver_url
from service.records.job_leases import JobLeases

if TYPE_CHECKING:
    from procrastinate import App

log = logging.getLogger("holdwright.jobs")
QUEUE = "holdwright"
TASK = "holdwright.solve"
_SCHEMA_LOCK = 4_729_183_650_273
_CONNECTIONS = 4
_PATIENCE_S = 10.0


class NoQueue(HoldwrightError):
    """The queue of jobs cannot be used: wrong kind of database, or it does not answer."""


class JobQueue:
    """The queue as those who call for workers see it.

    Raises
    ------
    NoQueue, NotInstalled
    """

    def __init__(self, database: Database, leases: JobLeases) -> None:
        if database.engine.dialect.name != "postgresql":
            raise NoQueue("the queue of jobs needs PostgreSQL; accepted: --db postgresql://user@host/database")
        self._engine, self._leases = database.engine, leases
        self._app = queue_app(driver_url(database.engine), asynchronous=False)

    def open(self) -> None:
        """Connect, and create the queue's tables where they are missing; raises NoQueue."""
        from procrastinate.exceptions import ProcrastinateException

        try:
            self._app.open()
            with alone(self._engine, _SCHEMA_LOCK):
                if not self._app.check_connection():
                    self._app.schema_manager.apply_schema()
        except ProcrastinateException as error:
            raise NoQueue(f"the queue of jobs cannot be used ({type(error).__name__})") from error

    def close(self) -> None:
        """Disconnect."""
        self._app.close()

    def call(self, id: str, priority: int) -> None:
        """Call a worker for a job that is on disk; one call is enough."""
        from procrastinate.exceptions import AlreadyEnqueued, ProcrastinateException

        try:
            self._app.configure_task(TASK, queue=QUEUE, priority=priority, queueing_lock=id).defer(job=id)
        except AlreadyEnqueued:
            return
        except ProcrastinateException as error:
            raise NoQueue(f"the queue of jobs cannot be used ({type(error).__name__})") from error

    def call_for_waiting(self) -> int:
        """Call workers for all jobs that wait and that nobody is called for; return for how many.

        Such are jobs whose server ended between saving them and calling, whose worker ended, or that were saved by a server that
        solves for itself.
        """
        from procrastinate.exceptions import ProcrastinateException

        waiting = self._leases.waiting()
        if not waiting:
            return 0
        try:
            called = {entry.queueing_lock for entry in self._app.job_manager.list_jobs(queue=QUEUE, status="todo")}
        except ProcrastinateException as error:
            raise NoQueue(f"the queue of jobs cannot be used ({type(error).__name__})") from error
        missing = [each for each in waiting if each.id not in called]
        for each in missing:
            self.call(each.id, each.priority)
        return len(missing)


def queue_app(url: str, asynchronous: bool) -> App:
    """Return procrastinate's application on a database, not opened; raises NotInstalled."""
    try:
        from procrastinate import App, PsycopgConnector, SyncPsycopgConnector
    except ModuleNotFoundError:
        raise NotInstalled("jobs on other machines", "postgres") from None
    connector = PsycopgConnector if asynchronous else SyncPsycopgConnector
    return App(connector=connector(conninfo=url, min_size=1, max_size=_CONNECTIONS, timeout=_PATIENCE_S))
