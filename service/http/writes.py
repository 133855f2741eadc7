"""Writes: what they are based on (If-Match), and that the same one is made only once (Idempotency-Key)."""

from __future__ import annotations

import hashlib
import re
from collections.abc import Callable
from dataclasses import dataclass
from datetime import UTC, date, datetime, timedelta
from typing import Any, TypeVar

from starlette.requests import Request

from inventory.errors import InvalidDocument
from inventory.store import Connection, Note, Store
from inventory.store.answers import Once
from inventory.store.catalogue import ANY_VERSION
from inventory.store.errors import Stale
from service.access.caller import Caller
from service.documents.stockroom.body import NOBODY_SIGNS, SignedBody, read_body_as
from service.http.dependencies import caller_if_known, caller_of, planning_of
from service.http.guard.body import JSON, read_body
from service.http.guard.headers import LONGEST_KEY, key_given, strong_tags
from service.http.problems import HttpProblem
from service.http.replies import Reply
from service.records.writes import Asked, note_write

Signed = TypeVar("Signed", bound=SignedBody)
_VERSION = re.compile(r"[1-9]\d{0,8}")


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
    asked : Asked
        By whom, for the journal of writes.
    signs : str or None
        Name of the API key it came with, which signs for the change.
    key, target : str or None, str
        The Idempotency-Key, and method and address, which the key stands for together with the body.
    key_hours : float
        How long the key is remembered, hours.
    """

    body: bytes
    at: datetime
    today: date
    asked: Asked
    signs: str | None = None
    if_match: str | None = None
    key: str | None = None
    target: str = ""
    key_hours: float = 24

    def once(self) -> Once | None:
        """Return the key with the fingerprint of the write."""
        if self.key is None:
            return None
        asked = "\n".join((self.target, self.if_match or "", "")).encode() + self.body
        own, fingerprint = key_of_its_own(self.key, self.asked), hashlib.sha256(asked).hexdigest()
        return Once(own, fingerprint, self.at, timedelta(hours=self.key_hours))

    def based_on(self, act: Callable[[int], Reply]) -> Reply:
        """Act upon the version `If-Match` names; where it lists several, upon the one that is there.

        Raises
        ------
        Problem
            ``match-required`` without one, ``bad-header`` if it cannot be read, ``changed`` if it names no version there can be.
        Stale
            If none of them is there.
        """
        *others, last = self.versions()
        for version in others:
            try:
                return act(version)
            except Stale:
                continue
        return act(last)

    def versions(self) -> list[int]:
        """Return the versions `If-Match` names, at least one; raises Problem as `based_on`."""
        if self.if_match is None:
            raise HttpProblem(
                "match-required", "send If-Match with the ETag the change is based on, or * to overwrite whatever there is"
            )
        if self.if_match.strip() == "*":
            return [ANY_VERSION]
        found = [int(tag) for tag in strong_tags(self.if_match) if _VERSION.fullmatch(tag)]
        if not found:
            raise HttpProblem("changed", "If-Match names no version: ETags are compared strongly, so weak ones match nothing")
        return found

    def read(self, model: type[Signed]) -> Signed:
        """Return the body as a model, signed by the key's name where nobody is named; raises InvalidDocument with every fault."""
        return read_body_as(model, self.body, self.signs)

    def note(self, body: SignedBody) -> Note:
        """Return the signature under a change that was read by `read`."""
        return self.signed(body.who, body.why)

    def signed(self, who: str | None, why: str) -> Note:
        """Return a signature: of whoever is named, else of the key; raises InvalidDocument if neither is there."""
        name = self.signs if who is None else who
        if name is None:
            raise InvalidDocument([NOBODY_SIGNS])
        return Note(name, self.at, why, self.signs)


async def write_of(request: Request, media: str = JSON, empty_allowed: bool = False) -> Write:
    """Return a write as it was asked for; raises Problem ``media-type``, ``too-large``, ``slow-body``, ``bad-header``."""
    settings, asked = planning_of(request).settings, asked_of(request)
    body = b"" if request.method == "DELETE" else await read_body(request, settings, empty_allowed, media)
    return Write(
        body=body,
        at=asked.at,
        today=date.today(),
        asked=asked,
        signs=caller_of(request).signs_as,
        if_match=", ".join(request.headers.getlist("if-match")) if "if-match" in request.headers else None,
        key=key_given(request.headers.get("idempotency-key")),
        target=f"{request.method} {request.url.path}?{request.url.query}",
        key_hours=settings.key_hours,
    )


def asked_of(request: Request, caller: Caller | None = None) -> Asked:
    """Return who asks for a write, where; `caller` if it is not yet known by the request."""
    known, state = caller or caller_if_known(request), request.state
    key, name = (None, "") if known is None else (known.key, known.name)
    # As it came, percent-encoded: a decoded address may hold characters that no database keeps.
    address = f"{request.method} {request.scope.get('raw_path', b'').decode('ascii', 'replace')}"
    return Asked(key, name, state.operation, address, datetime.now(UTC), getattr(state, "request_id", ""))


def key_of_its_own(key: str, asked: Asked) -> str:
    """Return an Idempotency-Key as it is kept: two systems that number their writes alike do not get in each other's way."""
    if asked.key is None:
        return key
    own = f"{asked.key}:{key}"
    return own if len(own) <= LONGEST_KEY else hashlib.sha256(own.encode()).hexdigest()


def write_once(store: Store, write: Write, action: Callable[[Connection], Reply]) -> Reply:
    """Write, with its line in the journal of writes, or return what the same write answered before."""

    def act(connection: Connection) -> dict[str, Any]:
        reply = action(connection)
        note_write(connection, write.asked, reply.status)
        return {"document": reply.document, "status": reply.status, "headers": dict(reply.headers)}

    return Reply(**store.write_once(write.once(), act).answer)
