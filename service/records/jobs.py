"""Plan jobs in the database as the doors see them: what was asked, how far it is, what came out."""

from __future__ import annotations

import json
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Any

import sqlalchemy as sa

from inventory.limits import unprintable
from inventory.store.engine import writing
from inventory.store.errors import KeyReused
from service.errors import QueueFull, TooManyJobs
from service.records.announcements import announce_ended
from service.records.database import Clock, Database, now
from service.records.job import OPEN, STATES, Job, JobSummary, State, WantedJobs
from service.records.job_best import best_of
from service.records.job_events import events_of
from service.records.job_figures import answer_figures, asked_figures, columns_of
from service.records.job_leases import JobLeases
from service.records.job_list import found_jobs, jobs_named
from service.records.job_rows import job_of, status_of
from service.records.news import CHANGED, QUEUED, tell
from service.records.plan_scores import ScoredJob, found_scores, keep_score, scores_named, take_score_over
from service.records.schema import SERVICE, plan_jobs
from service.records.writes import Asked, note_write

REUSED = ("optimal", "feasible", "infeasible")
"""Plans of these statuses answer whoever asks for the same again."""
_LONGEST_NAME = 200


@dataclass(frozen=True, slots=True)
class Followed:
    """How far a job is: its state, its plan's status, progress events in their order."""

    state: State
    status: str | None
    events: tuple[Mapping[str, Any], ...]

    @property
    def open(self) -> bool:
        """Whether an answer is still to come."""
        return self.state in OPEN


@dataclass(frozen=True, slots=True)
class JobRecords:
    """The table of plan jobs, one transaction an operation.

    Parameters
    ----------
    database : Database
        The store.
    owner : str
        This process's name on the leases it holds.
    lease_s, key_hours : float
        How long a lease holds without renewal (s); how long an idempotency key is remembered (h).
    most_attempts : int
        A job is started so often at most.
    """

    database: Database
    owner: str
    lease_s: float
    key_hours: float
    clock: Clock = now
    most_attempts: int = 2

    def create(self) -> JobRecords:
        """Create the tables where they are missing, bring older ones up to date, and return the records."""
        SERVICE.bring_to(writing(self.database.engine))
        return self

    @property
    def leases(self) -> JobLeases:
        """The same table as those who solve jobs see it."""
        return JobLeases(self.database, self.owner, self.lease_s, self.most_attempts, self.clock)

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

        Parameters
        ----------
        most_waiting : int
            So many jobs may wait; a job that is answered already waits for nothing.
        asked : Asked or None
            Who asks for it, where.
        most_open : int or None
            So many jobs of one API key may wait or run.

        Raises
        ------
        KeyReused
            The key was used for another body.
        QueueFull
            `most_waiting` jobs wait already.
        TooManyJobs
            `most_open` jobs of the API key that asks wait or run already.
        """

        figures = columns_of(answer_figures(job.plan))
        if job.kind == "plan":
            figures |= columns_of(asked_figures(job.request))

        def action(connection: sa.Connection) -> Job:
            if key is not None:
                self._forget_old(connection, key)
                taken = connection.execute(sa.select(plan_jobs).where(plan_jobs.c.key == key)).one_or_none()
                if taken is not None:
                    if taken.key_body != key_body:
                        raise KeyReused(key)
                    return job_of(taken)
            if job.open:
                queued = (plan_jobs.c.state == "queued") & plan_jobs.c.quote.is_(None)
                waiting = sa.select(sa.func.count()).select_from(plan_jobs).where(queued)
                if connection.execute(waiting).scalar_one() >= most_waiting:
                    raise QueueFull(most_waiting)
                if job.asked_by is not None and most_open is not None:
                    _refuse_too_many(connection, job.asked_by, most_open)
            connection.execute(plan_jobs.insert().values({**columns_of_job(job), "key": key, "key_body": key_body, **figures}))
            if job.answered_from is not None:
                take_score_over(connection, job.id, job.answered_from)
            if asked is not None:
                note_write(connection, asked, 202 if job.open else 200)
            if not job.open:
                announce_ended(connection, job.id, job.finished_at or self.clock())
            tell(connection, QUEUED if job.open else CHANGED, job.id)
            return job

        return self.database.write(action)

    def get(self, id: str) -> Job | None:
        """Return a job, None if there is no such job."""
        if unprintable(id) is not None:  # no id of ours, and PostgreSQL would complain of a NUL
            return None
        row = self.database.read(lambda c: c.execute(sa.select(plan_jobs).where(plan_jobs.c.id == id)).one_or_none())
        return None if row is None else job_of(row)

    def find(self, wanted: WantedJobs, before: tuple[datetime, str] | None, limit: int) -> list[JobSummary]:
        """Return jobs without their plans, newest first: those asked for before a moment, or at it with a lower id."""
        return self.database.read(lambda connection: found_jobs(connection, wanted, before, limit))

    def summaries(self, ids: Sequence[str]) -> list[JobSummary]:
        """Return the jobs of these ids that there are, without their plans, newest first."""
        known = [id for id in ids if unprintable(id) is None]
        return self.database.read(lambda connection: jobs_named(connection, known))

    def request_of(self, id: str) -> str | None:
        """Return the request document of a job alone, JSON text; None if there is no such job that asks for a plan."""
        if unprintable(id) is not None:
            return None
        asked = sa.select(plan_jobs.c.request).where(plan_jobs.c.id == id, plan_jobs.c.kind == "plan")
        return self.database.read(lambda connection: connection.execute(asked).scalar_one_or_none())

    def scored(self, wanted: WantedJobs, before: tuple[datetime, str] | None, limit: int) -> list[ScoredJob]:
        """Return jobs with a plan and its score, newest first, as `find` does."""
        return self.database.read(lambda connection: found_scores(connection, wanted, before, limit))

    def scored_named(self, ids: Sequence[str]) -> list[ScoredJob]:
        """Return those of these ids that have a plan, with its score, newest first."""
        known = [id for id in ids if unprintable(id) is None]
        return self.database.read(lambda connection: scores_named(connection, known))

    def keep_score(self, id: str, score: str) -> None:
        """Write down the score of a job's plan that has ended."""
        self.database.write(lambda connection: keep_score(connection, id, score))

    def best_so_far(self, id: str) -> Mapping[str, Any] | None:
        """Return the document of the best alternative found so far for a job that runs; None while there is none."""
        if unprintable(id) is not None:
            return None
        return self.database.read(lambda connection: best_of(connection, id))

    def answered(self, content: str) -> Job | None:
        """Return the newest job that was solved to its end for the same content, None if there is none."""
        solved = (plan_jobs.c.content == content) & (plan_jobs.c.state == "done") & plan_jobs.c.status.in_(REUSED)
        newest = sa.select(plan_jobs).where(solved).order_by(plan_jobs.c.finished_at.desc()).limit(1)
        row = self.database.read(lambda c: c.execute(newest).one_or_none())
        found = None if row is None else job_of(row)
        return found if found is not None and found.plan is not None and found.plan.get("stopped_by") != "cancel" else None

    def ask_cancel(self, id: str, asked: Asked | None = None) -> Job | None:
        """Cancel a queued job at once, mark a running one; a closed one stays as it is. None if there is no such job.

        What changes has a line in the journal of writes.
        """
        if unprintable(id) is not None:
            return None

        def action(connection: sa.Connection) -> Job | None:
            connection.execute(sa.select(plan_jobs.c.id).where(plan_jobs.c.id == id).with_for_update())  # not given back now
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
            tell(connection, CHANGED, id)
            return None if row is None else job_of(row)

        return self.database.write(action)

    def follow(self, id: str, start: int | None = None) -> Followed | None:
        """Return how far a job is, with its progress from event `start` on (None: without); None if there is no such job."""
        state = sa.select(plan_jobs.c.state, plan_jobs.c.status).where(plan_jobs.c.id == id)

        def action(connection: sa.Connection) -> Followed | None:
            row = connection.execute(state).one_or_none()
            return (
                None
                if row is None
                else Followed(row.state, row.status, () if start is None else events_of(connection, id, start))
            )

        return self.database.read(action)

    def counts(self) -> dict[State, int]:
        """Return how many jobs there are in each state."""
        counted = sa.select(plan_jobs.c.state, sa.func.count().label("jobs")).group_by(plan_jobs.c.state)
        found = {row.state: row.jobs for row in self.database.read(lambda c: c.execute(counted).all())}
        return {state: found.get(state, 0) for state in STATES}

    def _forget_old(self, connection: sa.Connection, key: str) -> None:
        expired = self.clock() - timedelta(hours=self.key_hours)
        old = (plan_jobs.c.key == key) & (plan_jobs.c.created_at < expired)
        connection.execute(plan_jobs.update().where(old).values(key=None))


def columns_of_job(job: Job) -> dict[str, Any]:
    """Return the columns of a new job, without those of its key and its figures."""
    values = {name: getattr(job, name) for name in Job.__dataclass_fields__ if name != "failure"}
    return {**values, "warnings": list(job.warnings), "name": job.name[:_LONGEST_NAME], "status": status_of(job.plan)}


def _refuse_too_many(connection: sa.Connection, api_key: str, most_open: int) -> None:
    """Raise TooManyJobs if as many jobs of an API key wait or run as may."""
    theirs = (plan_jobs.c.asked_by == api_key) & plan_jobs.c.state.in_(OPEN) & plan_jobs.c.quote.is_(None)
    counted = sa.select(sa.func.count()).select_from(plan_jobs).where(theirs)
    if connection.execute(counted).scalar_one() >= most_open:
        raise TooManyJobs(most_open)


def as_text(document: Any) -> str:
    """Return a JSON document as compact text."""
    return json.dumps(document, ensure_ascii=False, allow_nan=False, separators=(",", ":"))
