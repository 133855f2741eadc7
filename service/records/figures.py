"""Figures of the service's tables, for who watches it: how much waits, since when, what was given up."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime

import sqlalchemy as sa

from service.records.database import Database
from service.records.job import STATES, State
from service.records.schema import api_keys, deliveries, plan_jobs

DELIVERY_STATES = ("waiting", "delivered", "dead")


@dataclass(frozen=True, slots=True)
class ServiceFigures:
    """What the tables hold at one moment.

    Parameters
    ----------
    jobs : mapping
        Jobs by state.
    waiting_since : datetime or None
        When the job was asked for that has waited longest; None if none waits.
    overdue : int
        Jobs that run by a lease that ran out: no server is known to work on them.
    deliveries : mapping
        Messages to webhooks by state.
    keys : int
        API keys that were not revoked.
    """

    jobs: Mapping[State, int]
    waiting_since: datetime | None
    overdue: int
    deliveries: Mapping[str, int]
    keys: int


def service_figures(database: Database, at: datetime) -> ServiceFigures:
    """Return the figures of a moment, all from one transaction."""
    return database.read(lambda connection: figures_of(connection, at))


def figures_of(connection: sa.Connection, at: datetime) -> ServiceFigures:
    """Return the figures, read on a connection."""
    in_state = sa.select(plan_jobs.c.state, sa.func.count().label("many")).group_by(plan_jobs.c.state)
    jobs = {row.state: row.many for row in connection.execute(in_state)}
    oldest = sa.select(sa.func.min(plan_jobs.c.created_at)).where(plan_jobs.c.state == "queued")
    gone = sa.select(sa.func.count()).select_from(plan_jobs)
    gone = gone.where((plan_jobs.c.state == "running") & (plan_jobs.c.leased_until < at))
    sent = sa.select(deliveries.c.state, sa.func.count().label("many")).group_by(deliveries.c.state)
    messages = {row.state: row.many for row in connection.execute(sent)}
    valid = sa.select(sa.func.count()).select_from(api_keys).where(api_keys.c.revoked_at.is_(None))
    return ServiceFigures(
        {state: jobs.get(state, 0) for state in STATES},
        connection.execute(oldest).scalar_one(),
        int(connection.execute(gone).scalar_one()),
        {state: messages.get(state, 0) for state in DELIVERY_STATES},
        int(connection.execute(valid).scalar_one()),
    )


def live_workers(connection: sa.Connection, within_s: float) -> int | None:
    """Return how many workers of the queue have been heard of lately; None where the database has no queue of its own."""
    if not sa.inspect(connection).has_table("procrastinate_workers"):
        return None
    workers = sa.table("procrastinate_workers", sa.column("last_heartbeat"))
    lately = workers.c.last_heartbeat > sa.func.now() - sa.func.make_interval(0, 0, 0, 0, 0, 0, within_s)
    return int(connection.execute(sa.select(sa.func.count()).select_from(workers).where(lately)).scalar_one())
