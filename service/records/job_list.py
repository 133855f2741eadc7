"""Lists of jobs, without the documents they were asked with and answered by."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from datetime import datetime
from typing import Any

import sqlalchemy as sa

from service.records.job import JobSummary, WantedJobs
from service.records.job_figures import AnswerFigures, AskedFigures, answer_figures, asked_figures
from service.records.schema import plan_jobs

_PLAIN = (
    "id",
    "kind",
    "name",
    "state",
    "status",
    "created_at",
    "started_at",
    "finished_at",
    "attempts",
    "cancel_asked",
    "progress",
    "weldment",
    "weldment_version",
)
_ASKED = tuple(AskedFigures.__dataclass_fields__)
_ANSWER = tuple(AnswerFigures.__dataclass_fields__)


def found_by(query: sa.Select[Any], wanted: WantedJobs, before: tuple[datetime, str] | None) -> sa.Select[Any]:
    """Return a query narrowed to the jobs that are asked for; plans that a quote made for itself are never among them."""
    columns = plan_jobs.c
    if wanted.states:
        query = query.where(columns.state.in_(wanted.states))
    if wanted.status is not None:
        query = query.where(columns.status == wanted.status)
    query = query.where(columns.quote.is_(None))
    if wanted.kind is not None:
        query = query.where(columns.kind == wanted.kind)
    if wanted.name:
        query = query.where(columns.name.icontains(wanted.name, autoescape=True))
    if wanted.since is not None:
        query = query.where(columns.created_at >= wanted.since)
    if wanted.until is not None:
        query = query.where(columns.created_at < wanted.until)
    if before is not None:
        at, id = before
        query = query.where((columns.created_at < at) | ((columns.created_at == at) & (columns.id < id)))
    return query


def found_jobs(
    connection: sa.Connection, wanted: WantedJobs, before: tuple[datetime, str] | None, limit: int
) -> list[JobSummary]:
    """Return jobs, newest first: those asked for before a moment, or at it with a lower id."""
    columns = plan_jobs.c
    query = _listed()
    ordered = found_by(query, wanted, before).order_by(columns.created_at.desc(), columns.id.desc()).limit(limit)
    return [_summary(connection, row) for row in connection.execute(ordered)]


def jobs_named(connection: sa.Connection, ids: Sequence[str]) -> list[JobSummary]:
    """Return the jobs of these ids that there are, newest first."""
    query = _listed().where(plan_jobs.c.id.in_(ids)).order_by(plan_jobs.c.created_at.desc(), plan_jobs.c.id.desc())
    return [_summary(connection, row) for row in connection.execute(query)]


def _listed() -> sa.Select[Any]:
    return sa.select(*(plan_jobs.c[name] for name in (*_PLAIN, *_ASKED, *_ANSWER)))


def _summary(connection: sa.Connection, row: sa.Row[Any]) -> JobSummary:
    asked, answer = AskedFigures(*_values(row, _ASKED)), AnswerFigures(*_values(row, _ANSWER))
    if row.kind == "plan" and asked.quantity is None:  # it is older than these columns
        documents = sa.select(plan_jobs.c.request, plan_jobs.c.plan).where(plan_jobs.c.id == row.id)
        old = connection.execute(documents).one()
        asked, answer = asked_figures(old.request), answer_figures(old.plan)
    plain = {name: getattr(row, name) for name in _PLAIN}
    return JobSummary(**plain, asked=asked, answer=answer)


def _values(row: sa.Row[Any], names: Iterable[str]) -> Iterable[Any]:
    return (getattr(row, name) for name in names)
