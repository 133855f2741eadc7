"""Progress of jobs in the database, numbered from 0: whoever follows a job finds it there, on any server."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

import sqlalchemy as sa

from service.records.schema import job_events


def append(connection: sa.Connection, job: str, events: Sequence[Mapping[str, Any]]) -> None:
    """Write events down behind those there are of a job."""
    if not events:
        return
    last = sa.select(sa.func.max(job_events.c.number)).where(job_events.c.job == job)
    first = connection.execute(last).scalar_one()
    first = 0 if first is None else first + 1
    connection.execute(
        job_events.insert(), [{"job": job, "number": first + k, "event": dict(event)} for k, event in enumerate(events)]
    )


def events_of(connection: sa.Connection, job: str, start: int) -> tuple[Mapping[str, Any], ...]:
    """Return the events of a job from number `start` on."""
    wanted = sa.select(job_events.c.event).where((job_events.c.job == job) & (job_events.c.number >= start))
    return tuple(connection.execute(wanted.order_by(job_events.c.number)).scalars())
