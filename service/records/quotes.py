"""Quotes in the database: what was asked for, group by group what is known of its prices, which plans are under way.

Whoever takes a group further does so from a version of its row; where somebody else was first, nothing is written.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Any, Literal

import sqlalchemy as sa

from inventory.limits import unprintable
from inventory.store.errors import KeyReused
from service.errors import TooManyJobs
from service.records.announcements import announce
from service.records.database import Clock, Database, now
from service.records.job import OPEN, Job, State
from service.records.job_figures import answer_figures, asked_figures, columns_of
from service.records.jobs import columns_of_job
from service.records.news import CHANGED, QUEUED, tell
from service.records.schema import plan_jobs, quote_groups, quotes
from service.records.writes import Asked, note_write

QuoteState = Literal["running", "done", "cancelled"]
MOST_QUOTES_PER_KEY = 20
"""So many quotes of one API key may be worked on at once."""


@dataclass(frozen=True, slots=True)
class KeptGroup:
    """One request of a quote: its document, what its prices go by, the quantities that are wanted, what its plans say.

    `content` is the fingerprint of all its prices depend on. `under_way` has the jobs by the quantity they plan; `ended` is
    None while it is worked on.
    """

    number: int
    request: str
    weldment: str
    basis: Mapping[str, Any]
    quantities: Sequence[int]
    content: str
    warnings: Sequence[str] = ()
    facts: Sequence[Mapping[str, Any]] = ()
    under_way: Mapping[str, str] | None = None
    plans: int = 0
    failed: str | None = None
    ended: int | None = None
    version: int = 1


@dataclass(frozen=True, slots=True)
class OpenGroup:
    """A group that is worked on: its quote, its number there, the jobs under way by the quantity they plan."""

    quote: str
    number: int
    under_way: Mapping[str, str]


@dataclass(frozen=True, slots=True)
class KeptQuote:
    """A quote: what was asked for line by line, and its groups."""

    id: str
    name: str
    state: QuoteState
    priority: int
    created_at: datetime
    lines: Sequence[Mapping[str, Any]]
    price_only: bool
    break_even: bool
    groups: tuple[KeptGroup, ...]
    finished_at: datetime | None = None
    asked_by: str | None = None

    @property
    def open(self) -> bool:
        """Whether prices are still to come."""
        return self.state == "running"


@dataclass(frozen=True, slots=True)
class QuoteRecords:
    """The tables of quotes, one transaction an operation; `key_hours` is how long an idempotency key is remembered (h)."""

    database: Database
    key_hours: float
    clock: Clock = now

    def add(self, quote: KeptQuote, key: str | None, key_body: str, asked: Asked | None) -> KeptQuote:
        """Save a new quote, with its line in the journal of writes, or return the one already saved under the same key.

        Raises
        ------
        KeyReused
            The key was used for another body.
        TooManyJobs
            Too many quotes of the API key that asks are worked on.
        """

        def action(connection: sa.Connection) -> KeptQuote:
            if key is not None:
                expired = self.clock() - timedelta(hours=self.key_hours)
                old = (quotes.c.key == key) & (quotes.c.created_at < expired)
                connection.execute(quotes.update().where(old).values(key=None))
                taken = connection.execute(sa.select(quotes.c.id, quotes.c.key_body).where(quotes.c.key == key)).one_or_none()
                if taken is not None:
                    if taken.key_body != key_body:
                        raise KeyReused(key)
                    return _quote(connection, taken.id) or quote
            if quote.asked_by is not None:
                theirs = (quotes.c.asked_by == quote.asked_by) & (quotes.c.state == "running")
                if (
                    connection.execute(sa.select(sa.func.count()).select_from(quotes).where(theirs)).scalar_one()
                    >= MOST_QUOTES_PER_KEY
                ):
                    raise TooManyJobs(MOST_QUOTES_PER_KEY)
            connection.execute(
                quotes.insert().values(
                    id=quote.id, name=quote.name, state=quote.state, priority=quote.priority, created_at=quote.created_at,
                    finished_at=quote.finished_at, lines=list(quote.lines), price_only=quote.price_only,
                    break_even=quote.break_even, key=key, key_body=key_body, asked_by=quote.asked_by,
                )
            )  # fmt: skip
            for group in quote.groups:
                connection.execute(quote_groups.insert().values(quote=quote.id, number=group.number, **_columns(group)))
            if asked is not None:
                note_write(connection, asked, 202)
            tell(connection, CHANGED, quote.id)
            return quote

        return self.database.write(action)

    def get(self, id: str) -> KeptQuote | None:
        """Return a quote, None if there is no such quote."""
        return None if unprintable(id) is not None else self.database.read(lambda connection: _quote(connection, id))

    def under_work(self) -> list[OpenGroup]:
        """Return the groups that have not ended, those of the most urgent quote first, then of the oldest."""
        query = sa.select(quote_groups.c.quote, quote_groups.c.number, quote_groups.c.under_way)
        query = query.join(quotes, quotes.c.id == quote_groups.c.quote)
        query = query.where(quotes.c.state == "running", quote_groups.c.ended.is_(None))
        query = query.order_by(quotes.c.priority.desc(), quotes.c.created_at, quotes.c.id, quote_groups.c.number)
        return self.database.read(lambda c: [OpenGroup(row.quote, row.number, row.under_way) for row in c.execute(query)])

    def group(self, id: str, number: int) -> KeptQuote | None:
        """Return a quote without its lines and with one of its groups alone; None if it is gone."""
        return self.database.read(lambda connection: _quote(connection, id, number))

    def facts_known(self, content: str) -> Sequence[Mapping[str, Any]]:
        """Return what plans said of the same prices before, for the quote that was worked on most; nothing if there is none."""
        query = sa.select(quote_groups.c.facts).join(quotes, quotes.c.id == quote_groups.c.quote)
        query = query.where(quote_groups.c.content == content, quote_groups.c.ended > 0, quote_groups.c.failed.is_(None))
        query = query.order_by(quotes.c.price_only, quote_groups.c.plans.desc(), quotes.c.created_at.desc()).limit(1)
        return self.database.read(lambda c: c.execute(query).scalar_one_or_none()) or ()

    def ended_jobs(self, ids: Sequence[str]) -> dict[str, State | None]:
        """Return the states of those jobs that are no longer open; None for those that are no longer kept."""
        query = sa.select(plan_jobs.c.id, plan_jobs.c.state).where(plan_jobs.c.id.in_(ids))
        states: dict[str, State] = {row.id: row.state for row in self.database.read(lambda c: c.execute(query).all())}
        return {id: states.get(id) for id in ids if states.get(id) not in OPEN}

    def take_further(self, quote: str, group: KeptGroup, jobs: Sequence[Job], ends: bool) -> bool:
        """Write down what became of a group, with the jobs it needs next; return whether its row was as it was read.

        Parameters
        ----------
        group : KeptGroup
            As it is now; its version is the one it was read at.
        ends : bool
            Whether nothing more is to come; the last one to end ends the quote.
        """

        def action(connection: sa.Connection) -> bool:
            here = (quote_groups.c.quote == quote) & (quote_groups.c.number == group.number)
            running = sa.select(quotes.c.id).where(quotes.c.id == quote, quotes.c.state == "running").with_for_update()
            if connection.execute(running).scalar_one_or_none() is None:
                return False
            place: int | None = None
            if ends:
                done = sa.select(sa.func.count()).select_from(quote_groups)
                place = 1 + connection.execute(done.where(quote_groups.c.quote == quote, quote_groups.c.ended > 0)).scalar_one()
            values = {**_columns(group), "ended": place, "version": group.version + 1}
            changed = quote_groups.update().where(here, quote_groups.c.version == group.version).values(values)
            if not connection.execute(changed).rowcount:
                return False
            for job in jobs:
                figures = columns_of(asked_figures(job.request)) | columns_of(answer_figures(job.plan))
                connection.execute(plan_jobs.insert().values({**columns_of_job(job), **figures}))
                tell(connection, QUEUED, job.id)
            if ends:
                self._end_if_all_have(connection, quote)
            tell(connection, CHANGED, quote)
            return True

        return self.database.write(action)

    def cancel(self, id: str, asked: Asked | None = None) -> KeptQuote | None:
        """End a quote with what is known; one that has ended stays as it is. None if there is no such quote."""
        if unprintable(id) is not None:
            return None

        def action(connection: sa.Connection) -> KeptQuote | None:
            ended = {"state": "cancelled", "finished_at": self.clock()}
            running = (quotes.c.id == id) & (quotes.c.state == "running")
            if connection.execute(quotes.update().where(running).values(ended)).rowcount:
                if asked is not None:
                    note_write(connection, asked, 200)
                tell(connection, CHANGED, id)
                self._announce(connection, id)
            return _quote(connection, id)

        return self.database.write(action)

    def _end_if_all_have(self, connection: sa.Connection, id: str) -> None:
        open_groups = sa.select(quote_groups.c.number).where(quote_groups.c.quote == id, quote_groups.c.ended.is_(None)).limit(1)
        if connection.execute(open_groups).scalar_one_or_none() is None:
            connection.execute(quotes.update().where(quotes.c.id == id).values(state="done", finished_at=self.clock()))
            self._announce(connection, id)

    def _announce(self, connection: sa.Connection, id: str) -> None:
        row = connection.execute(sa.select(quotes.c.name, quotes.c.state, quotes.c.lines).where(quotes.c.id == id)).one()
        data = {"id": id, "name": row.name, "state": row.state, "lines": len(row.lines), "address": f"/v1/quotes/{id}"}
        announce(connection, "quote.done", data, self.clock())


_GROUP = ("request", "weldment", "basis", "content", "failed", "plans", "ended", "version")


_QUOTE = tuple(name for name in KeptQuote.__dataclass_fields__ if name != "groups")


def _columns(group: KeptGroup) -> dict[str, Any]:
    values = {name: getattr(group, name) for name in _GROUP}
    lists = {
        "quantities": list(group.quantities),
        "warnings": list(group.warnings),
        "facts": [dict(each) for each in group.facts],
    }
    return {**values, **lists, "under_way": dict(group.under_way or {})}


def _quote(connection: sa.Connection, id: str, number: int | None = None) -> KeptQuote | None:
    """Return a quote with all its groups; or without its lines, with one group."""
    columns = [quotes.c[name] for name in _QUOTE if number is None or name != "lines"]
    row = connection.execute(sa.select(*columns).where(quotes.c.id == id)).one_or_none()
    if row is None:
        return None
    found = sa.select(quote_groups).where(quote_groups.c.quote == id)
    if number is not None:
        found = found.where(quote_groups.c.number == number)
    fields = KeptGroup.__dataclass_fields__
    rows = connection.execute(found.order_by(quote_groups.c.number))
    groups = tuple(KeptGroup(**{name: getattr(each, name) for name in fields}) for each in rows)
    return KeptQuote(**{"lines": (), **row._mapping}, groups=groups)
