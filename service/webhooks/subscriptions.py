"""The use cases of whoever wants to be told: add a webhook, change it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime

from inventory.errors import Fault, refuse
from inventory.store import Connection
from service.documents.webhooks.events import Event
from service.records.webhooks import Webhook, add_webhook, change_webhook
from service.webhooks.destinations import LookUp, destination, look_up
from service.webhooks.signing import new_secret


@dataclass(frozen=True, slots=True)
class WebhookWish:
    """What a webhook is to be: its URL, what it wants to hear of, whether it is on; what is None stays.

    Made outside a transaction: the URL's host is looked up, which may take seconds.
    """

    url: str | None = None
    events: Sequence[Event] | None = None
    enabled: bool | None = None

    def checked(self, private_allowed: bool, names: LookUp = look_up) -> WebhookWish:
        """Return the same wish if it asks for something, and messages may go to its URL; raises InvalidDocument."""
        nothing = self.url is None and self.events is None and self.enabled is None
        refuse([Fault("", "changes nothing", "at least one of url, events, enabled")] if nothing else [])
        if self.url is not None:
            destination(self.url, private_allowed, names)
        return self


def add(connection: Connection, url: str, events: Sequence[Event], at: datetime, made_by: str | None = None) -> Webhook:
    """Add a webhook with a new secret; raises InvalidDocument if there are as many as may be."""
    return add_webhook(connection, url, events, new_secret(), at, made_by)


def change(connection: Connection, id: str, expected: int, wish: WebhookWish) -> Webhook:
    """Change a webhook; raises NotFound, Stale."""
    return change_webhook(connection, id, expected, wish.url, wish.events, wish.enabled)
