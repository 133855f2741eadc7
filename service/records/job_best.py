"""The best alternative so far of jobs that run, for whoever watches them on any server; gone once there is an answer."""

from __future__ import annotations

import json
from collections.abc import Mapping
from typing import Any

import sqlalchemy as sa

from service.records.schema import job_best


def keep_best(connection: sa.Connection, job: str, alternative: Mapping[str, Any]) -> None:
    """Write the document of an alternative down in place of the one before; the caller holds the job."""
    forget_best(connection, job)
    text = json.dumps(alternative, ensure_ascii=False, allow_nan=False, separators=(",", ":"))
    connection.execute(job_best.insert().values(job=job, alternative=text))


def forget_best(connection: sa.Connection, job: str) -> None:
    """Remove what was kept of a job."""
    connection.execute(job_best.delete().where(job_best.c.job == job))


def best_of(connection: sa.Connection, job: str) -> Mapping[str, Any] | None:
    """Return the document of the best alternative so far, None while there is none."""
    found = connection.execute(sa.select(job_best.c.alternative).where(job_best.c.job == job)).scalar_one_or_none()
    document: Mapping[str, Any] | None = None if found is None else json.loads(found)
    return document
