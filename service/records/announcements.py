"""Events told to webhooks: written down as deliveries in the transaction of what they tell of, sent afterwards."""

from __future__ import annotations

import json
import secrets
from collections.abc import Mapping
from datetime import datetime
from typing import Any

import sqlalchemy as sa

from service.documents.webhooks.events import Event
from service.records.job import OPEN
from service.records.schema import deliveries, plan_jobs, webhooks


def announce(connection: sa.Connection, event: Event, data: Mapping[str, Any], at: datetime) -> None:
    """Write down one delivery for every webhook that wants to hear of an event.

    Parameters
    ----------
    connection : Connection
        Of the transaction that does what the event tells of: both are written, or neither.
    data : mapping
        What happened, plain JSON values.
    at : datetime
        When it happened.
    """
    if not sa.inspect(connection).has_table(webhooks.name):
        return  # a store of stock that no server has opened yet: nobody could ask to be told
    wanted = sa.select(webhooks.c.id, webhooks.c.events).where(webhooks.c.enabled).order_by(webhooks.c.id)
    for webhook in connection.execute(wanted).all():
        if event in webhook.events:
            add_delivery(connection, webhook.id, event, data, at)


def announce_ended(connection: sa.Connection, id: str, at: datetime) -> None:
    """Announce that a plan job has ended, done, failed or cancelled; not one that is open, nor one of a quote."""
    row = connection.execute(sa.select(plan_jobs).where(plan_jobs.c.id == id)).one()
    if row.kind != "plan" or row.state in OPEN or row.quote is not None:
        return
    alternatives = (row.plan or {}).get("alternatives") or [{}]
    failure = None if row.failure is None else {"kind": row.failure["kind"], "detail": row.failure["detail"]}
    data = {
        "id": row.id,
        "name": row.name or _name_in(row.request),
        "state": row.state,
        "status": (row.plan or {}).get("status"),
        "total_cents": alternatives[0].get("cost", {}).get("total_cents"),
        "failure": failure,
        "address": f"/v1/plans/{row.id}",
    }
    announce(connection, "plan.done", data, at)


def add_delivery(connection: sa.Connection, webhook: str, event: str, data: Mapping[str, Any], at: datetime) -> str:
    """Write down a message to one webhook, due at once; return its id, which is the message's `webhook-id`."""
    id = f"msg_{int(at.timestamp() * 1000):012x}{secrets.token_hex(8)}"  # ids in the order of time: lists are read by them
    body = {"type": event, "timestamp": at.isoformat().replace("+00:00", "Z"), "data": dict(data)}
    text = json.dumps(body, ensure_ascii=False, allow_nan=False, separators=(",", ":"))
    values = {"id": id, "webhook": webhook, "event": event, "body": text, "state": "waiting", "made_at": at, "next_at": at}
    connection.execute(deliveries.insert().values(**values, attempts=0, last_error=""))
    return id


def _name_in(request: str) -> str:
    """Return the weldment's name in a request document, empty if it has none."""
    document = json.loads(request)
    weldment = document.get("weldment") if isinstance(document, dict) else None
    return str(weldment.get("name") or "")[:200] if isinstance(weldment, dict) else ""
