"""The jobs a process works on: taken by a lease that it keeps renewing, answered once only.

A job whose lease has run out is free for any other server or worker, or closed if it was started too often. Nothing here waits
for a turn among the writers of the stock: a job is held by its row.
"""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from dataclasses import asdict, dataclass
from datetime import datetime, timedelta
from typing import Any

import sqlalchemy as sa

from service.records.announcements import announce_ended
from service.records.database import Clock, Database, now
from service.records.job import Failure, Job, State
from service.records.job_best import forget_best, keep_best
from service.records.job_events import append
from service.records.job_figures import answer_figures, columns_of
from service.records.job_rows import job_of, status_of
from service.records.news import CHANGED, QUEUED, tell
from service.records.plan_scores import keep_score
from service.records.schema import plan_jobs


@dataclass(frozen=True, slots=True)
class Waiting:
    """A job that is free to be taken up."""

    id: str
    priority: int


@dataclass(frozen=True, slots=True)
class HeldJobs:
    """The jobs a process holds by its leases, and those of them that are to stop."""

    jobs: frozenset[str]
    to_stop: frozenset[str]


@dataclass(frozen=True, slots=True)
class JobLeases:
    """The table of plan jobs as those who solve them see it, one transaction an operation.

    Parameters
    ----------
    database : Database
        The store.
    owner : str
        This process's name on the leases it holds.
    lease_s : float
        How long a lease holds without renewal, s.
    most_attempts : int
        A job is started so often at most.
    """

    database: Database
    owner: str
    lease_s: float
    most_attempts: int
    clock: Clock = now

    def claim(self, id: str | None = None) -> Job | None:
        """Take the next job to work on, or the one of this id; None if there is none that is free.

        Free is a job that is queued, or whose lease has run out and that may be started once more. The most urgent comes first,
        then the oldest.
        """
        wanted = sa.select(plan_jobs.c.id).where(self._free() if id is None else self._free() & (plan_jobs.c.id == id))
        wanted = wanted.order_by(plan_jobs.c.priority.desc(), plan_jobs.c.created_at, plan_jobs.c.id).limit(1)

        def action(connection: sa.Connection) -> Job | None:
            found = connection.execute(wanted.with_for_update(skip_locked=id is None)).scalar_one_or_none()
            if found is None:
                return None
            values = {"state": "running", "owner": self.owner, "leased_until": self._lease(), "progress": None}
            taken = plan_jobs.update().where(plan_jobs.c.id == found).values(**values, started_at=self.clock())
            row = connection.execute(taken.values(attempts=plan_jobs.c.attempts + 1).returning(plan_jobs)).one()
            forget_best(connection, row.id)
            tell(connection, CHANGED, row.id)
            return job_of(row)

        # Looked for before there is written: idle workers ask again and again.
        if self.database.read(lambda c: c.execute(wanted).scalar_one_or_none()) is None:
            return None
        return self.database.write_beside(action)

    def waiting(self) -> tuple[Waiting, ...]:
        """Return the jobs that are free to be taken up."""
        found = sa.select(plan_jobs.c.id, plan_jobs.c.priority).where(self._free())
        return self.database.read(lambda c: tuple(Waiting(row.id, row.priority) for row in c.execute(found)))

    def close_lost(self) -> tuple[Job, ...]:
        """Close jobs whose lease has run out and that are not to be started again; return them.

        Those that were to stop are cancelled; those started as often as they may be have failed.
        """
        gone = (plan_jobs.c.state == "running") & (plan_jobs.c.leased_until < self.clock())
        lost = gone & (plan_jobs.c.cancel_asked | (plan_jobs.c.attempts >= self.most_attempts))

        looked_for = sa.select(plan_jobs.c.id, plan_jobs.c.cancel_asked, plan_jobs.c.attempts).where(lost)

        def action(connection: sa.Connection) -> tuple[Job, ...]:
            closed = []
            for row in connection.execute(looked_for.with_for_update()):
                times = "once" if row.attempts == 1 else f"{row.attempts} times"
                failure = Failure("interrupted", f"it was started {times}, and each time the process that ran it ended")
                values: dict[str, Any] = (
                    {"state": "cancelled"} if row.cancel_asked else {"state": "failed", "failure": asdict(failure)}
                )
                values |= {"finished_at": self.clock(), "owner": None, "leased_until": None}
                changed = plan_jobs.update().where(plan_jobs.c.id == row.id).values(values).returning(plan_jobs)
                closed.append(job_of(connection.execute(changed).one()))
                forget_best(connection, row.id)
                announce_ended(connection, row.id, self.clock())
                tell(connection, CHANGED, row.id)
            return tuple(closed)

        if self.database.read(lambda c: c.execute(sa.select(plan_jobs.c.id).where(lost).limit(1)).scalar_one_or_none()) is None:
            return ()
        return self.database.write_beside(action)

    def renew(self, ids: Collection[str]) -> None:
        """Renew the leases of jobs this process works on."""
        mine = self._mine() & plan_jobs.c.id.in_(ids)
        self.database.write_beside(lambda c: c.execute(plan_jobs.update().where(mine).values(leased_until=self._lease())))

    def held(self) -> HeldJobs:
        """Return which jobs this process holds, and which of them are to stop."""
        found = sa.select(plan_jobs.c.id, plan_jobs.c.cancel_asked).where(self._mine())
        rows = self.database.read(lambda c: c.execute(found).all())
        return HeldJobs(frozenset(row.id for row in rows), frozenset(row.id for row in rows if row.cancel_asked))

    def give_back(self, id: str) -> None:
        """Queue a job this process works on again, as if it had never been started; one that was to stop is cancelled."""
        mine = self._mine() & (plan_jobs.c.id == id)
        free = {"owner": None, "leased_until": None, "attempts": plan_jobs.c.attempts - 1}

        def action(connection: sa.Connection) -> None:
            connection.execute(sa.select(plan_jobs.c.id).where(mine).with_for_update())  # nobody cancels it meanwhile
            ended = {"state": "cancelled", "finished_at": self.clock(), "owner": None, "leased_until": None}
            if connection.execute(plan_jobs.update().where(mine & plan_jobs.c.cancel_asked).values(ended)).rowcount:
                forget_best(connection, id)
                announce_ended(connection, id, self.clock())
            if connection.execute(plan_jobs.update().where(mine).values(state="queued", started_at=None, **free)).rowcount:
                forget_best(connection, id)
            tell(connection, CHANGED, id)
            tell(connection, QUEUED, id)

        self.database.write_beside(action)

    def add_events(self, id: str, events: Sequence[Mapping[str, Any]], best: Mapping[str, Any] | None = None) -> bool:
        """Write down progress of a job this process works on; return whether it still does.

        `best` is the document of the best alternative so far, if it is another than before.
        """

        def action(connection: sa.Connection) -> bool:
            mine = self._mine() & (plan_jobs.c.id == id)
            values: dict[str, Any] = {"owner": self.owner} | ({"progress": dict(events[-1])} if events else {})
            changed = plan_jobs.update().where(mine).values(values).returning(plan_jobs.c.id)
            if connection.execute(changed).scalar_one_or_none() is None:
                return False
            append(connection, id, events)
            if best is not None:
                keep_best(connection, id, best)
            tell(connection, CHANGED, id)
            return True

        return self.database.write_beside(action)

    def finish(
        self,
        id: str,
        state: State,
        plan: Mapping[str, Any] | None = None,
        failure: Failure | None = None,
        events: Sequence[Mapping[str, Any]] = (),
        content: str | None = None,
        score: str | None = None,
    ) -> bool:
        """Close a job this process works on, with the last of its progress and the score of its plan.

        Returns
        -------
        bool
            False, and nothing is written, if the job is no longer this process's: another has taken it up.
        """
        figures = columns_of(answer_figures(plan))

        def action(connection: sa.Connection) -> bool:
            mine = self._mine() & (plan_jobs.c.id == id)
            values: dict[str, Any] = {"state": state, "finished_at": self.clock(), "owner": None, "leased_until": None}
            values |= {"plan": plan, "failure": None if failure is None else asdict(failure)}
            values |= {"status": status_of(plan), "content": content, **figures}
            if events:
                values["progress"] = dict(events[-1])
            changed = plan_jobs.update().where(mine).values(values).returning(plan_jobs.c.id)
            if connection.execute(changed).scalar_one_or_none() is None:
                return False
            append(connection, id, events)
            forget_best(connection, id)
            if score is not None:
                keep_score(connection, id, score)
            announce_ended(connection, id, values["finished_at"])
            tell(connection, CHANGED, id)
            return True

        return self.database.write_beside(action)

    def _mine(self) -> sa.ColumnElement[bool]:
        return (plan_jobs.c.state == "running") & (plan_jobs.c.owner == self.owner)

    def _free(self) -> sa.ColumnElement[bool]:
        gone = (plan_jobs.c.state == "running") & (plan_jobs.c.leased_until < self.clock())
        again = ~plan_jobs.c.cancel_asked & (plan_jobs.c.attempts < self.most_attempts)
        return (plan_jobs.c.state == "queued") | (gone & again)

    def _lease(self) -> datetime:
        return self.clock() + timedelta(seconds=self.lease_s)
