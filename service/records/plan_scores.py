"""What is kept of finished plans so that changed rules can be held against them: a text a plan, beside the plan's own row."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Any

import sqlalchemy as sa

from service.records.job import WantedJobs
from service.records.job_list import found_by
from service.records.schema import plan_jobs, plan_scores


@dataclass(frozen=True, slots=True)
class ScoredJob:
    """A job that has a plan, without its documents; `score` is None where none is kept of it."""

    id: str
    name: str
    status: str | None
    created_at: datetime
    quantity: int | None
    score: str | None

    @property
    def place(self) -> str:
        """Where it stands among all jobs, newest first."""
        return f"{self.created_at.isoformat()} {self.id}"


def keep_score(connection: sa.Connection, job: str, score: str) -> None:
    """Write a plan's score down in place of one that is there; the caller holds the job, or knows that it has ended."""
    connection.execute(plan_scores.delete().where(plan_scores.c.job == job))
    connection.execute(plan_scores.insert().values(job=job, score=score))


def take_score_over(connection: sa.Connection, job: str, answered_from: str) -> None:
    """Give a job whose answer is another's that one's score, if there is one."""
    found = sa.select(sa.literal(job), plan_scores.c.score).where(plan_scores.c.job == answered_from)
    connection.execute(plan_scores.insert().from_select(["job", "score"], found))


def found_scores(
    connection: sa.Connection, wanted: WantedJobs, before: tuple[datetime, str] | None, limit: int
) -> list[ScoredJob]:
    """Return jobs with a plan, newest first: those asked for before a moment, or at it with a lower id."""
    columns, query = plan_jobs.c, found_by(_scored(), wanted, before)
    return _read(connection, query.order_by(columns.created_at.desc(), columns.id.desc()).limit(limit))


def scores_named(connection: sa.Connection, ids: Sequence[str]) -> list[ScoredJob]:
    """Return the jobs with a plan of these ids, newest first."""
    columns = plan_jobs.c
    return _read(connection, _scored().where(columns.id.in_(ids)).order_by(columns.created_at.desc(), columns.id.desc()))


def _scored() -> sa.Select[Any]:
    columns = plan_jobs.c
    listed = (columns.id, columns.name, columns.status, columns.created_at, columns.quantity, plan_scores.c.score)
    both = plan_jobs.outerjoin(plan_scores, columns.id == plan_scores.c.job)
    return sa.select(*listed).select_from(both).where(columns.kind == "plan", columns.status.in_(("optimal", "feasible")))


def _read(connection: sa.Connection, query: sa.Select[Any]) -> list[ScoredJob]:
    return [ScoredJob(*row) for row in connection.execute(query)]
