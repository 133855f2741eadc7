"""Webhooks on the wire: who is told of what."""

from __future__ import annotations

from datetime import datetime
from typing import Annotated
from urllib.parse import urlsplit

from pydantic import AfterValidator, BaseModel, Field

from inventory.errors import Fault
from inventory.limits import repeated_faults, shown
from service.documents.reading.fields import Document, UpTo, checked
from service.documents.webhooks.events import EVENTS, Event

LONGEST_URL = 2000
_ACCEPTED = f"https://, a host, no user, no password, no fragment, up to {LONGEST_URL:,} printable ASCII characters"


def _url(value: str) -> str:
    checked([Fault("", wrong, _ACCEPTED)] if (wrong := _wrong_with(value)) else [])
    return value


def _wrong_with(url: str) -> str | None:
    """Return what keeps a text from being a webhook's URL, None if nothing does."""
    if len(url) > LONGEST_URL:
        return f"{len(url):,} characters"
    if not (url.isascii() and url.isprintable()) or " " in url or "\\" in url:
        return "holds a character that is not printable ASCII, a blank or a backslash"
    try:
        parts, port = urlsplit(url), urlsplit(url).port
    except ValueError as error:
        return f"cannot be read: {error}"
    faults = (
        (parts.scheme not in ("http", "https"), f"{shown(parts.scheme)} is no scheme of a webhook"),
        (not parts.hostname, "names no host"),
        (port == 0, "names port 0"),
        ("@" in parts.netloc, "holds a user or a password, which would stand in lists and logs"),
        ("#" in url, "has a fragment, which is never sent"),
    )
    return next((wrong for so, wrong in faults if so), None)


def _events(value: list[Event]) -> list[Event]:
    none = [] if value else [Fault("", "no event", "at least one of " + ", ".join(EVENTS))]
    checked([*none, *repeated_faults(((f"/{index}", event) for index, event in enumerate(value)), "the event")])
    return value


Url = Annotated[
    str,
    AfterValidator(_url),
    Field(description="where messages are posted to", json_schema_extra={"maxLength": LONGEST_URL, "format": "uri"}),
]
Events = Annotated[list[Event], UpTo(len(EVENTS), 1), AfterValidator(_events), Field(description="what it wants to hear of")]


class WebhookBody(Document):
    """A webhook to be added."""

    url: Url
    events: Events


class WebhookChangeBody(Document):
    """What is to change of a webhook; what is left out stays."""

    url: Url | None = None
    events: Events | None = None
    enabled: Annotated[
        bool | None, Field(description="false: nothing is sent to it; what happens meanwhile it never hears of")
    ] = None


class EmptyBody(Document):
    """Nothing; the address says it all."""


class WebhookDocument(BaseModel):
    """A webhook, without its secret."""

    id: str
    url: str
    events: list[Event]
    enabled: bool
    made_at: datetime
    made_by: str | None = Field(description="the API key it was added with")
    version: int
    waiting: int = Field(description="messages on their way to it")
    dead: int = Field(description="messages that were given up")


class AddedWebhookDocument(WebhookDocument):
    """A webhook that was just added, with its secret: it is shown this once."""

    secret: str = Field(description="`whsec_` and the key in base64; messages are signed with it")


class WebhookListDocument(BaseModel):
    """A page of webhooks."""

    webhooks: list[WebhookDocument]
    next: str | None
