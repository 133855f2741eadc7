"""Webhooks in the database: addresses that want to hear of events, each with the secret its messages are signed with."""

from __future__ import annotations

import re
import secrets
from collections.abc import Sequence
from dataclasses import dataclass, field
from datetime import datetime
from typing import Any

import sqlalchemy as sa

from inventory.errors import Fault, refuse
from inventory.store.catalogue import ANY_VERSION
from inventory.store.errors import NotFound, Stale
from service.documents.webhooks.events import Event
from service.records.schema import deliveries, webhooks

MOST_WEBHOOKS = 50
ID = re.compile(r"[0-9a-f]{16}")
"""Ids as they are given; others are not looked for, since they may hold what no database takes."""


@dataclass(frozen=True, slots=True)
class Webhook:
    """An address that wants to hear of events.

    Parameters
    ----------
    secret : str
        ``whsec_`` and the key in base64; shown to nobody but whoever added the webhook.
    made_by : str or None
        The API key it was added with.
    waiting, dead : int
        Messages on their way to it, and those that were given up.
    """

    id: str
    url: str
    events: tuple[Event, ...]
    enabled: bool
    made_at: datetime
    made_by: str | None
    version: int
    waiting: int
    dead: int
    secret: str = field(repr=False)


def find_webhooks(connection: sa.Connection, after: str = "", limit: int = 100) -> list[Webhook]:
    """Return webhooks by id behind `after`."""
    query = _webhooks().where(webhooks.c.id > after).order_by(webhooks.c.id).limit(limit)
    return [_webhook(row) for row in connection.execute(query)]


def webhook(connection: sa.Connection, id: str) -> Webhook:
    """Return a webhook; raises NotFound."""
    row = connection.execute(_webhooks().where(webhooks.c.id == id)).one_or_none() if ID.fullmatch(id) else None
    if row is None:
        raise NotFound("webhook", repr(id)[:180])
    return _webhook(row)


def add_webhook(
    connection: sa.Connection, url: str, events: Sequence[Event], secret: str, at: datetime, made_by: str | None = None
) -> Webhook:
    """Write down a new webhook; raises InvalidDocument if there are as many as may be."""
    there = connection.execute(sa.select(sa.func.count()).select_from(webhooks)).scalar_one()
    refuse([Fault("", f"{there} webhooks are there already", "one of them removed first")] if there >= MOST_WEBHOOKS else [])
    id = secrets.token_hex(8)
    values = {"id": id, "url": url, "events": list(events), "secret": secret, "enabled": True, "made_at": at}
    connection.execute(webhooks.insert().values(**values, made_by=made_by, version=1))
    return webhook(connection, id)


def change_webhook(
    connection: sa.Connection,
    id: str,
    expected: int,
    url: str | None = None,
    events: Sequence[Event] | None = None,
    enabled: bool | None = None,
) -> Webhook:
    """Change a webhook; what is None stays; raises NotFound, Stale."""
    there = _expected(webhook(connection, id), expected)
    given = {"url": url, "events": None if events is None else list(events), "enabled": enabled}
    values = {name: value for name, value in given.items() if value is not None}
    connection.execute(webhooks.update().where(webhooks.c.id == id).values(**values, version=there.version + 1))
    return webhook(connection, id)


def remove_webhook(connection: sa.Connection, id: str, expected: int) -> None:
    """Remove a webhook with all its messages; raises NotFound, Stale."""
    _expected(webhook(connection, id), expected)
    connection.execute(webhooks.delete().where(webhooks.c.id == id))


def _expected(there: Webhook, expected: int) -> Webhook:
    if expected not in (ANY_VERSION, there.version):
        raise Stale("webhook", there.id, expected, there.version)
    return there


def _webhooks() -> sa.Select[Any]:
    counts = (_count("waiting").label("waiting"), _count("dead").label("dead"))
    return sa.select(webhooks, *counts)


def _count(state: str) -> sa.ScalarSelect[int]:
    mine = (deliveries.c.webhook == webhooks.c.id) & (deliveries.c.state == state)
    return sa.select(sa.func.count()).select_from(deliveries).where(mine).scalar_subquery()


def _webhook(row: Any) -> Webhook:
    values = {name: getattr(row, name) for name in Webhook.__dataclass_fields__}
    return Webhook(**{**values, "events": tuple(row.events)})
