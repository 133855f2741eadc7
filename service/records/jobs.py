"""Plan jobs in the database: what was asked, how far it is, what came out, who works on it.

A server holds the jobs it runs by a lease that it keeps renewing; jobs whose lease has run out are free for any server.
"""

from __future__ import annotations

import json
from collections.abc import Callable, Mapping
from dataclasses import asdict, dataclass
from datetime import UTC, datetime, timedelta
from typing import Any, Protocol, TypeVar

import sqlalchemy as sa

from inventory.errors import Fault
from inventory.limits import unprintable
from inventory.store.engine import writing
from inventory.store.errors import KeyReused
from service.errors import QueueFull, TooManyJobs
from service.records.announcements import announce_ended
from service.records.job import OPEN, STATES, Failure, Job, State
from service.records.schema import SERVICE, plan_jobs
from service.records.writes import Asked, note_write

Answer = TypeVar("Answer")


class Database(Protocol):
    """Transactions on the store's database."""

    engine: sa.Engine

    def read(self, action: Callable[[sa.Connection], Answer]) -> Answer:
        """Return what `action` reads, all of it from one moment."""
        ...

    def write(self, action: Callable[[sa.Connection], Answer]) -> Answer:
        """Return what `action` answers after all it wrote is on disk."""
        ...


Clock = Callable[[], datetime]


def now() -> datetime:
    """Return the time, UTC."""
    return datetime.now(UTC)


@dataclass(frozen=True, slots=True)
class JobRecords:
    """The table of plan jobs, one transaction an operation.

    Parameters
    ----------
    database : Database
        The store.
    owner : str
        This server's name on the leases it holds.
    lease_s, key_hours : float
        How long a lease holds without renewal (s); how long an idempotency key is remembered (h).
    """

    database: Database
    owner: str
    lease_s: float
    key_hours: float
    clock: Clock = now

    def create(self) -> JobRecords:
        """Create the tables where they are missing, bring older ones up to date, and return the records."""
        SERVICE.bring_to(writing(self.database.engine))
        return self

    def add(
        self,
        job: Job,
        key: str | None,
        key_body: str,
        most_waiting: int,
        asked: Asked | None = None,
        most_open: int | None = None,
    ) -> Job:
        """Save a new job, with its line in the journal of writes, or return the one already saved under the same key.

        Raises
        ------
        KeyReused
            The key was used for another body.
        QueueFull
            `most_waiting` jobs wait already.
        TooManyJobs
            `most_open` jobs of the API key that asks wait or run already.
        """

        def action(connection: sa.Connection) -> Job:
            if key is not None:
                self._forget_old(connection, key)
                taken = connection.execute(sa.select(plan_jobs).where(plan_jobs.c.key == key)).one_or_none()
                if taken is not None:
                    if taken.key_body != key_body:
                        raise KeyReused(key)
                    return _job(taken)
            waiting = sa.select(sa.func.count()).select_from(plan_jobs).where(plan_jobs.c.state == "queued")
            if connection.execute(waiting).scalar_one() >= most_waiting:
                raise QueueFull(most_waiting)
            if job.asked_by is not None and most_open is not None:
                _refuse_too_many(connection, job.asked_by, most_open)
            values = {
                "id": job.id, "state": job.state, "created_at": job.created_at, "request": job.request, "attempts": 0,
                "warnings": list(job.warnings), "cancel_asked": False, "key": key, "key_body": key_body, "asked_by": job.asked_by,
            }  # fmt: skip
            connection.execute(plan_jobs.insert().values(values))
            if asked is not None:
                note_write(connection, asked, 202)
            return job

        return self.database.write(action)

    def get(self, id: str) -> Job | None:
        """Return a job, None if there is no such job."""
        if unprintable(id) is not None:  # no id of ours, and PostgreSQL would complain of a NUL
            return None
        row = self.database.read(lambda c: c.execute(sa.select(plan_jobs).where(plan_jobs.c.id == id)).one_or_none())
        return None if row is None else _job(row)

    def claim(self) -> Job | None:
        """Take the next job to work on: the oldest queued one, or one whose server is gone. None if there is none."""

        def action(connection: sa.Connection) -> Job | None:
            at = self.clock()
            gone = (plan_jobs.c.state == "running") & (plan_jobs.c.leased_until < at)
            wanted = sa.select(plan_jobs).where((plan_jobs.c.state == "queued") | gone).order_by(plan_jobs.c.created_at).limit(1)
            row = connection.execute(wanted).one_or_none()
            if row is None:
                return None
            values = {"state": "running", "owner": self.owner, "leased_until": self._lease(), "attempts": row.attempts + 1}
            changed = plan_jobs.update().where(plan_jobs.c.id == row.id).values(**values, started_at=at, progress=None)
            return _job(connection.execute(changed.returning(plan_jobs)).one())

        return self.database.write(action)

    def renew(self) -> tuple[str, ...]:
        """Renew the lease of every job this server runs; return those somebody wants cancelled."""

        def action(connection: sa.Connection) -> tuple[str, ...]:
            mine = (plan_jobs.c.state == "running") & (plan_jobs.c.owner == self.owner)
            connection.execute(plan_jobs.update().where(mine).values(leased_until=self._lease()))
            rows = connection.execute(sa.select(plan_jobs.c.id).where(mine & plan_jobs.c.cancel_asked))
            return tuple(row.id for row in rows)

        return self.database.write(action)

    def give_back(self) -> None:
        """Queue every job this server runs again, as if it had never been started: the server is going down in order."""
        mine = (plan_jobs.c.state == "running") & (plan_jobs.c.owner == self.owner)
        values = {"state": "queued", "owner": None, "leased_until": None, "attempts": plan_jobs.c.attempts - 1}
        self.database.write(lambda c: c.execute(plan_jobs.update().where(mine).values(values)))

    def progress(self, id: str, event: Mapping[str, Any]) -> None:
        """Keep the newest progress event of a running job."""
        mine = (plan_jobs.c.id == id) & (plan_jobs.c.state == "running")
        self.database.write(lambda c: c.execute(plan_jobs.update().where(mine).values(progress=dict(event))))

    def finish(
        self,
        id: str,
        state: State,
        plan: Mapping[str, Any] | None = None,
        failure: Failure | None = None,
        progress: Mapping[str, Any] | None = None,
    ) -> None:
        """Close a job this server runs; does nothing if it is no longer ours (another server has taken it up)."""
        mine = (plan_jobs.c.id == id) & (plan_jobs.c.state == "running") & (plan_jobs.c.owner == self.owner)
        at = self.clock()
        values: dict[str, Any] = {"state": state, "finished_at": at, "owner": None, "leased_until": None}
        values |= {"plan": plan, "failure": None if failure is None else asdict(failure), "progress": progress}

        def action(connection: sa.Connection) -> None:
            if connection.execute(plan_jobs.update().where(mine).values(values)).rowcount:
                announce_ended(connection, id, at)

        self.database.write(action)

    def ask_cancel(self, id: str, asked: Asked | None = None) -> Job | None:
        """Cancel a queued job at once, mark a running one; a closed one stays as it is. None if there is no such job.

        What changes has a line in the journal of writes.
        """
        if unprintable(id) is not None:
            return None

        def action(connection: sa.Connection) -> Job | None:
            queued = (plan_jobs.c.id == id) & (plan_jobs.c.state == "queued")
            at = self.clock()
            ended = {"state": "cancelled", "cancel_asked": True, "finished_at": at}
            at_once = connection.execute(plan_jobs.update().where(queued).values(ended)).rowcount
            if at_once:
                announce_ended(connection, id, at)
            running = (plan_jobs.c.id == id) & (plan_jobs.c.state == "running")
            marked = connection.execute(plan_jobs.update().where(running).values(cancel_asked=True)).rowcount
            if asked is not None and (at_once or marked):
                note_write(connection, asked, 200 if at_once else 202)
            row = connection.execute(sa.select(plan_jobs).where(plan_jobs.c.id == id)).one_or_none()
            return None if row is None else _job(row)

        return self.database.write(action)

    def counts(self) -> dict[State, int]:
        """Return how many jobs there are in each state."""
        counted = sa.select(plan_jobs.c.state, sa.func.count().label("jobs")).group_by(plan_jobs.c.state)
        found = {row.state: row.jobs for row in self.database.read(lambda c: c.execute(counted).all())}
        return {state: found.get(state, 0) for state in STATES}

    def open_jobs(self) -> int:
        """Return how many jobs are queued or running."""
        counted = sa.select(sa.func.count()).select_from(plan_jobs).where(plan_jobs.c.state.in_(OPEN))
        return self.database.read(lambda c: int(c.execute(counted).scalar_one()))

    def _lease(self) -> datetime:
        return self.clock() + timedelta(seconds=self.lease_s)

    def _forget_old(self, connection: sa.Connection, key: str) -> None:
        expired = self.clock() - timedelta(hours=self.key_hours)
        old = (plan_jobs.c.key == key) & (plan_jobs.c.created_at < expired)
        connection.execute(plan_jobs.update().where(old).values(key=None))


def _refuse_too_many(connection: sa.Connection, api_key: str, most_open: int) -> None:
    """Raise TooManyJobs if as many jobs of an API key wait or run as may."""
    theirs = (plan_jobs.c.asked_by == api_key) & plan_jobs.c.state.in_(OPEN)
    counted = sa.select(sa.func.count()).select_from(plan_jobs).where(theirs)
    if connection.execute(counted).scalar_one() >= most_open:
        raise TooManyJobs(most_open)


def _job(row: Any) -> Job:
    values = {name: getattr(row, name) for name in Job.__dataclass_fields__}
    return Job(**{**values, "warnings": tuple(row.warnings), "failure": _failure(row.failure)})


def _failure(stored: Mapping[str, Any] | None) -> Failure | None:
    if stored is None:
        return None
    return Failure(stored["kind"], stored["detail"], tuple(Fault(**fault) for fault in stored["faults"]))


def as_text(document: Any) -> str:
    """Return a JSON document as compact text."""
    return json.dumps(document, ensure_ascii=False, allow_nan=False, separators=(",", ":"))
