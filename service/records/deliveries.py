"""Messages to webhooks in the database: on their way, delivered, or given up.

A server that sends a message holds it by a lease: it is due again when the lease runs out, whatever became of the server. So a
message arrives at least once, and now and then twice.
"""

from __future__ import annotations

import re
from collections.abc import Collection
from dataclasses import dataclass, field
from datetime import datetime, timedelta
from typing import Any

import sqlalchemy as sa

from inventory.store.errors import NotFound
from service.documents.webhooks.delivery import DeliveryState
from service.documents.webhooks.events import TEST_EVENT
from service.errors import WebhookOff
from service.records.announcements import add_delivery
from service.records.database import Clock, Database, now
from service.records.schema import deliveries, webhooks
from service.records.webhooks import ID as WEBHOOK_ID
from service.records.webhooks import webhook

LONGEST_ERROR = 400
ID = re.compile(r"msg_[0-9a-f]{28}")


@dataclass(frozen=True, slots=True)
class Delivery:
    """A message to a webhook.

    Parameters
    ----------
    body : str
        The message as it is sent, JSON text.
    attempts : int
        How often it was sent.
    next_at : datetime
        When it is due, if it waits.
    last_status, last_error : int or None, str
        What the receiver answered last, and what was wrong with that.
    """

    id: str
    webhook: str
    event: str
    body: str
    state: DeliveryState
    made_at: datetime
    attempts: int
    next_at: datetime
    ended_at: datetime | None
    last_status: int | None
    last_error: str


@dataclass(frozen=True, slots=True)
class Attempt:
    """One sending of a message: where to, signed by which secret, for the how-manieth time."""

    delivery: str
    webhook: str
    url: str
    body: str
    number: int
    secret: str = field(repr=False)


def find_deliveries(
    connection: sa.Connection, of: str, state: DeliveryState | None = None, before: str = "", limit: int = 100
) -> list[Delivery]:
    """Return a webhook's messages, newest first, before one; raises NotFound."""
    webhook(connection, of)
    query = sa.select(deliveries).where(deliveries.c.webhook == of)
    if state is not None:
        query = query.where(deliveries.c.state == state)
    if before:
        query = query.where(deliveries.c.id < before)
    return [_delivery(row) for row in connection.execute(query.order_by(deliveries.c.id.desc()).limit(limit))]


def delivery(connection: sa.Connection, of: str, id: str) -> Delivery:
    """Return a message to a webhook; raises NotFound."""
    mine = (deliveries.c.webhook == of) & (deliveries.c.id == id)
    known = ID.fullmatch(id) and WEBHOOK_ID.fullmatch(of)
    row = connection.execute(sa.select(deliveries).where(mine)).one_or_none() if known else None
    if row is None:
        raise NotFound("delivery", repr(id)[:180])
    return _delivery(row)


def add_test(connection: sa.Connection, of: str, at: datetime) -> Delivery:
    """Write down a message that only says it is a test; raises NotFound, WebhookOff."""
    there = webhook(connection, of)
    if not there.enabled:
        raise WebhookOff(of)
    return delivery(connection, of, add_delivery(connection, of, TEST_EVENT, {"webhook": of}, at))


def send_again(connection: sa.Connection, of: str, id: str, at: datetime) -> Delivery:
    """Have a message sent again from its first attempt on, dead, delivered or waiting; raises NotFound, WebhookOff."""
    there = delivery(connection, of, id)
    if not webhook(connection, of).enabled:
        raise WebhookOff(of)
    fresh = {"state": "waiting", "attempts": 0, "next_at": at, "ended_at": None, "last_status": None, "last_error": ""}
    connection.execute(deliveries.update().where(deliveries.c.id == there.id).values(fresh))
    return delivery(connection, of, id)


@dataclass(frozen=True, slots=True)
class DeliveryRecords:
    """What a server that sends messages writes down, one transaction an operation.

    Parameters
    ----------
    lease_s : float
        How long a message is held for one attempt, s.
    """

    database: Database
    lease_s: float
    clock: Clock = now

    def claim(self, busy: Collection[str]) -> Attempt | None:
        """Take the message that has been due longest, not one to a webhook of `busy`; None if there is none."""

        def action(connection: sa.Connection) -> Attempt | None:
            row = connection.execute(self._due(busy)).one_or_none()
            if row is None:
                return None
            held = {"attempts": row.attempts + 1, "next_at": self.clock() + timedelta(seconds=self.lease_s)}
            connection.execute(deliveries.update().where(deliveries.c.id == row.id).values(held))
            return Attempt(row.id, row.webhook, row.url, row.body, row.attempts + 1, row.secret)

        # Looked for first in a read: servers look every second, and must not take turns with those who write for nothing.
        if self.database.read(lambda connection: connection.execute(self._due(busy)).one_or_none()) is None:
            return None
        return self.database.write(action)

    def delivered(self, attempt: Attempt, status: int) -> None:
        """Write down that a message has arrived."""
        ended = {"state": "delivered", "ended_at": self.clock(), "last_status": status, "last_error": ""}
        self.database.write(lambda c: c.execute(self._still_ours(attempt).values(ended)))

    def failed(self, attempt: Attempt, status: int | None, error: str, again_in_s: float | None) -> None:
        """Write down that a message has not arrived, and when it is sent again; None: never."""
        at = self.clock()
        values: dict[str, Any] = {"last_status": status, "last_error": error[:LONGEST_ERROR]}
        if again_in_s is None:
            values |= {"state": "dead", "ended_at": at}
        else:
            values |= {"next_at": at + timedelta(seconds=again_in_s)}
        self.database.write(lambda c: c.execute(self._still_ours(attempt).values(values)))

    def gone(self, attempt: Attempt, status: int, error: str) -> None:
        """Switch a webhook off whose receiver wants nothing any more, and give up all that is on its way to it."""
        at = self.clock()

        def action(connection: sa.Connection) -> None:
            off = {"enabled": False, "version": webhooks.c.version + 1}
            connection.execute(webhooks.update().where(webhooks.c.id == attempt.webhook, webhooks.c.enabled).values(off))
            dead = {"state": "dead", "ended_at": at, "last_error": error[:LONGEST_ERROR]}
            connection.execute(self._still_ours(attempt).values(last_status=status))
            waiting = (deliveries.c.webhook == attempt.webhook) & (deliveries.c.state == "waiting")
            connection.execute(deliveries.update().where(waiting).values(dead))

        self.database.write(action)

    def _due(self, busy: Collection[str]) -> sa.Select[Any]:
        """Return the query for the message that has been due longest; webhooks are few, and each is asked for its first one."""
        each = deliveries.alias()
        first = (
            sa.select(each.c.id)
            .where(each.c.webhook == webhooks.c.id, each.c.state == "waiting", each.c.next_at <= self.clock())
            .order_by(each.c.next_at, each.c.id)
            .limit(1)
            .scalar_subquery()
        )
        return (
            sa.select(deliveries, webhooks.c.url, webhooks.c.secret)
            .join_from(webhooks, deliveries, deliveries.c.id == first)
            .where(webhooks.c.enabled, webhooks.c.id.not_in(sorted(busy)))
            .order_by(deliveries.c.next_at, deliveries.c.id)
            .limit(1)
        )

    def _still_ours(self, attempt: Attempt) -> sa.Update:
        """Return the change of a message that nobody else has taken up meanwhile."""
        mine = (deliveries.c.id == attempt.delivery) & (deliveries.c.attempts == attempt.number)
        return deliveries.update().where(mine, deliveries.c.state == "waiting")


def _delivery(row: Any) -> Delivery:
    return Delivery(*(getattr(row, name) for name in Delivery.__dataclass_fields__))
