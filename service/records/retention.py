"""What may be removed from the database, and its removal in small transactions.

What goes is looked for in reads, which hold nobody up; it is removed a few rows at a time, each time under the same condition
again, since things may have changed meanwhile.
"""

from __future__ import annotations

import time
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from datetime import datetime
from typing import Any

import sqlalchemy as sa

from inventory.store.schema import answered, plans, reservations
from service.records.database import Database
from service.records.schema import (
    api_keys,
    deliveries,
    drafts,
    job_events,
    measured_times,
    plan_jobs,
    quotes,
    sign_ins,
    webhooks,
    writes,
)

_LOOKED_UP = 5000
_MOST_ROWS = 200
_HOLD_S = 0.02
"""How long one transaction is to hold other writers up; one that took longer is followed by one of fewer rows."""
_LEAST_PAUSE_S = 0.02


@dataclass(frozen=True, slots=True)
class Cutoffs:
    """Until when things are removed: those that ended before; None: they are kept for ever.

    Parameters
    ----------
    now : datetime
        What has an expiry of its own is held against it.
    keys : datetime
        Answers under an Idempotency-Key.
    jobs : datetime or None
        Jobs with their plans, quotes, and drafts of requests that nobody has changed since.
    """

    now: datetime
    keys: datetime
    jobs: datetime | None
    events: datetime | None
    deliveries: datetime | None
    writes: datetime | None
    measured: datetime | None = None


@dataclass(frozen=True, slots=True)
class Outdated:
    """Rows of one table that may go, or (`forget`) lose some values.

    Parameters
    ----------
    condition : expression
        Whether a row may go. Asked again of every row as it goes, so it must be cheap for one row: it looks at other tables by
        their keys, and at the large documents of a row not at all.
    found_by : expression
        A wider condition with an index, for finding them.
    """

    what: str
    table: sa.Table
    condition: sa.ColumnElement[bool]
    found_by: sa.ColumnElement[bool] | None = None
    forget: Mapping[str, Any] | None = None

    def count(self, connection: sa.Connection) -> int:
        """Return how many rows there are."""
        return int(connection.execute(sa.select(sa.func.count()).select_from(self.table).where(self._found)).scalar_one())

    def some(self, connection: sa.Connection) -> list[sa.Row[Any]]:
        """Return the keys of the first few thousand rows."""
        return list(connection.execute(sa.select(*self.table.primary_key.columns).where(self._found).limit(_LOOKED_UP)))

    def remove(self, connection: sa.Connection, keys: list[sa.Row[Any]]) -> int:
        """Remove those of the rows that may still go; return how many did."""
        columns = list(self.table.primary_key.columns)
        named: sa.ColumnElement[bool] = columns[0].in_(
            {key[0] for key in keys}
        )  # beside pairs too: SQLite looks pairs up in no index
        if len(columns) > 1:
            named &= sa.tuple_(*columns).in_([tuple(key) for key in keys])
        change = self.table.delete() if self.forget is None else self.table.update().values(self.forget)
        return connection.execute(change.where(named, self.condition)).rowcount

    @property
    def _found(self) -> sa.ColumnElement[bool]:
        return self.condition if self.found_by is None else self.found_by & self.condition


def held(plan: sa.ColumnElement[Any]) -> sa.ColumnElement[bool]:
    """Return the condition that something holds a plan, given its job's id: then the job stays, however old it is.

    Reservations in any state, plans that were kept because somebody meant to build them, and jobs whose answer is another job's.
    """
    later = plan_jobs.alias()
    return sa.or_(
        sa.exists().where(reservations.c.plan == plan),
        sa.exists().where(plans.c.id == plan),
        sa.exists().where(later.c.answered_from == plan),
    )


def outdated(cutoffs: Cutoffs) -> tuple[Outdated, ...]:
    """Return all that may go, in the order in which it is removed: events before their jobs, keys before what they name."""
    jobs, keyed = plan_jobs.c, plan_jobs.alias()
    old_key = jobs.created_at < cutoffs.keys
    # Not `is not null`, for which SQLite would read every job; keys are few.
    has_key = jobs.id.in_(sa.select(keyed.c.id).where(keyed.c.key > ""))
    old_quote = (quotes.c.created_at < cutoffs.keys) & (quotes.c.key > "")
    found = [
        Outdated("keys of jobs", plan_jobs, old_key, has_key, {"key": None, "key_body": None}),
        Outdated("keys of quotes", quotes, old_quote, None, {"key": None, "key_body": None}),
        Outdated("answers under a key", answered, answered.c.at < cutoffs.keys),
        Outdated("sign-ins", sign_ins, _ended_sign_ins(cutoffs.now)),
    ]
    # The key is looked at last: on SQLite it lies behind a job's documents.
    may_go = None if cutoffs.jobs is None else _jobs_before(cutoffs.jobs) & ~held(jobs.id) & (old_key | jobs.key.is_(None))
    quiet = [each for each in (may_go, None if cutoffs.events is None else _jobs_before(cutoffs.events)) if each is not None]
    if quiet:
        theirs = sa.select(jobs.id).where(sa.or_(*quiet))
        of_one = sa.exists(theirs.where(jobs.id == job_events.c.job).correlate(job_events))
        found.append(Outdated("events of jobs", job_events, of_one, job_events.c.job.in_(theirs)))
    if may_go is not None:
        found.append(Outdated("jobs", plan_jobs, may_go))
    if cutoffs.jobs is not None:
        found.append(Outdated("quotes", quotes, quotes.c.finished_at < cutoffs.jobs))
        found.append(Outdated("drafts", drafts, drafts.c.changed_at < cutoffs.jobs))
    if cutoffs.deliveries is not None:
        found.append(Outdated("messages to webhooks", deliveries, _ended_deliveries(cutoffs.deliveries)))
    if cutoffs.measured is not None:
        found.append(Outdated("measured times", measured_times, measured_times.c.reported_at < cutoffs.measured))
    if cutoffs.writes is not None:
        found.append(Outdated("journal of writes", writes, writes.c.at < cutoffs.writes))
    return tuple(found)


def counted(database: Database, cutoffs: Cutoffs) -> dict[str, int]:
    """Return how many rows may go, by what they are; what goes with something else is counted with it."""
    return database.read(lambda connection: {each.what: each.count(connection) for each in outdated(cutoffs)})


def removed(
    database: Database, cutoffs: Cutoffs, stopping: Callable[[], bool], pause: Callable[[float], object] = time.sleep
) -> dict[str, int]:
    """Remove what may go until nothing is left or it is to stop; return how many rows went, by what they are."""
    return {each.what: sum(_removed(each, database, stopping, pause)) for each in outdated(cutoffs)}


def _removed(each: Outdated, database: Database, stopping: Callable[[], bool], pause: Callable[[float], object]) -> Iterator[int]:
    rows = _MOST_ROWS
    while not stopping() and (keys := database.read(each.some)):
        gone = 0
        while keys and not stopping():
            batch, keys = keys[:rows], keys[rows:]
            began = [0.0]  # when the turn to write was there: waiting for it holds nobody up

            def action(connection: sa.Connection, batch: list[sa.Row[Any]] = batch, began: list[float] = began) -> int:
                began[0] = time.monotonic()
                return each.remove(connection, batch)

            went = database.write(action)
            took = max(time.monotonic() - began[0], 1e-6)
            gone += went
            yield went
            rows = max(1, min(_MOST_ROWS, int(rows * _HOLD_S / took)))
            pause(max(_LEAST_PAUSE_S, took))
        if not gone:
            return  # somebody else removed them, or they may not go any more


def _jobs_before(cutoff: datetime) -> sa.ColumnElement[bool]:
    # What ended before was asked for before: of the two, only the moment of asking has an index.
    return (plan_jobs.c.created_at < cutoff) & (plan_jobs.c.finished_at < cutoff)


def _ended_sign_ins(now: datetime) -> sa.ColumnElement[bool]:
    ended = (api_keys.c.revoked_at <= now) | (api_keys.c.expires_at <= now)
    return (sign_ins.c.expires_at <= now) | sign_ins.c.api_key.in_(sa.select(api_keys.c.id).where(ended))


def _ended_deliveries(cutoff: datetime) -> sa.ColumnElement[bool]:
    """Return the condition for messages that ended before, or that have waited since then for a webhook that is switched off."""
    off = sa.select(webhooks.c.id).where(~webhooks.c.enabled)
    forgotten = (deliveries.c.state == "waiting") & (deliveries.c.made_at < cutoff) & deliveries.c.webhook.in_(off)
    return (deliveries.c.ended_at < cutoff) | forgotten
