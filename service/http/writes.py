"""Writes: what they are based on (If-Match), and that the same one is made only once (Idempotency-Key)."""

from __future__ import annotations

import hashlib
import re
from collections.abc import Callable
from dataclasses import dataclass
from datetime import UTC, date, datetime
from typing import Any

from starlette.requests import Request

from inventory.store import Connection, Note, Store
from inventory.store.answers import Once
from inventory.store.catalogue import ANY_VERSION
from service.documents.stockroom.body import SignedBody
from service.http.dependencies import planning_of
from service.http.guard.body import JSON, read_body
from service.http.guard.headers import key_given
from service.http.problems import HttpProblem
from service.http.replies import Reply

_TAGS = re.compile(r'"(\d{1,9})"')


@dataclass(frozen=True, slots=True)
class Write:
    """One write as it was asked for.

    Parameters
    ----------
    body : bytes
        As it came.
    at, today : datetime, date
        When; `today` is the shop's calendar day.
    if_match : str or None
        The header of that name.
    key, target : str or None, str
        The Idempotency-Key, and method and address, which the key stands for together with the body.
    """

    body: bytes
    at: datetime
    today: date
    if_match: str | None = None
    key: str | None = None
    target: str = ""

    def once(self) -> Once | None:
        """Return the key with the fingerprint of the write."""
        if self.key is None:
            return None
        asked = "\n".join((self.target, self.if_match or "", "")).encode() + self.body
        return Once(self.key, hashlib.sha256(asked).hexdigest(), self.at)

    def expected(self) -> int:
        """Return the version `If-Match` names.

        Raises
        ------
        Problem
            ``match-required`` without one, ``bad-header`` if it cannot be read.
        """
        if self.if_match is None:
            raise HttpProblem(
                "match-required", "send If-Match with the ETag the change is based on, or * to overwrite whatever there is"
            )
        if self.if_match.strip() == "*":
            return ANY_VERSION
        tag = _TAGS.fullmatch(self.if_match.strip())
        if tag is None or int(tag[1]) == ANY_VERSION:
            raise HttpProblem("bad-header", 'If-Match; accepted: one ETag as it was sent, such as "3", or *')
        return int(tag[1])

    def note(self, body: SignedBody) -> Note:
        """Return the signature under the change."""
        return Note(body.who, self.at, body.why)


async def write_of(request: Request, media: str = JSON, empty_allowed: bool = False) -> Write:
    """Return a write as it was asked for; raises Problem ``media-type``, ``too-large``, ``slow-body``, ``bad-header``."""
    settings = planning_of(request).settings
    body = b"" if request.method == "DELETE" else await read_body(request, settings, empty_allowed, media)
    return Write(
        body=body,
        at=datetime.now(UTC),
        today=date.today(),
        if_match=request.headers.get("if-match"),
        key=key_given(request.headers.get("idempotency-key")),
        target=f"{request.method} {request.url.path}?{request.url.query}",
    )


def write_once(store: Store, write: Write, action: Callable[[Connection], Reply]) -> Reply:
    """Write, or return what the same write answered before."""

    def act(connection: Connection) -> dict[str, Any]:
        reply = action(connection)
        return {"document": reply.document, "status": reply.status, "headers": dict(reply.headers)}

    return Reply(**store.write_once(write.once(), act).answer)
