"""Answers of the storekeeper's desk, the pages they come in, and the versions they carry."""

from __future__ import annotations

import base64
import hashlib
import re
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date, datetime
from typing import Any, TypeVar

from inventory.errors import Fault, InvalidDocument
from inventory.store import Connection, Store
from inventory.store.answers import Once
from inventory.store.catalogue import ANY_VERSION
from service.http.problems import Problem

T = TypeVar("T")
_TAGS = re.compile(r'"(\d{1,9})"')


@dataclass(frozen=True, slots=True)
class Reply:
    """Status, document and headers of an answer."""

    document: Mapping[str, Any] | None
    status: int = 200
    headers: Mapping[str, str] = field(default_factory=dict)

    @classmethod
    def of_version(cls, document: Mapping[str, Any], status: int = 200, location: str | None = None) -> Reply:
        """Return an answer whose `version` is its ETag."""
        headers = {"ETag": f'"{document["version"]}"'}
        return cls(document, status, headers if location is None else {**headers, "Location": location})


@dataclass(frozen=True, slots=True)
class Asked:
    """One write as it was asked for.

    Parameters
    ----------
    body : bytes
        As it came.
    now, today : datetime, date
        When; `today` is the shop's calendar day.
    if_match : str or None
        The header of that name.
    key, target : str or None, str
        The Idempotency-Key, and method and address, which the key stands for together with the body.
    """

    body: bytes
    now: datetime
    today: date
    if_match: str | None = None
    key: str | None = None
    target: str = ""

    def once(self) -> Once | None:
        """Return the key with the fingerprint of the write."""
        if self.key is None:
            return None
        asked = "\n".join((self.target, self.if_match or "", "")).encode() + self.body
        return Once(self.key, hashlib.sha256(asked).hexdigest(), self.now)

    def expected(self) -> int:
        """Return the version `If-Match` names.

        Raises
        ------
        Problem
            ``match-required`` without one, ``bad-header`` if it cannot be read.
        """
        if self.if_match is None:
            raise Problem(
                "match-required", "send If-Match with the ETag the change is based on, or * to overwrite whatever there is"
            )
        if self.if_match.strip() == "*":
            return ANY_VERSION
        tag = _TAGS.fullmatch(self.if_match.strip())
        if tag is None or int(tag[1]) == ANY_VERSION:
            raise Problem("bad-header", 'If-Match; accepted: one ETag as it was sent, such as "3", or *')
        return int(tag[1])


def written_once(store: Store, asked: Asked, action: Callable[[Connection], Reply]) -> Reply:
    """Write, or return what the same write answered before."""

    def act(connection: Connection) -> dict[str, Any]:
        reply = action(connection)
        return {"document": reply.document, "status": reply.status, "headers": dict(reply.headers)}

    return Reply(**store.write_once(asked.once(), act).answer)


@dataclass(frozen=True, slots=True)
class Page:
    """Which part of a list: behind `after`, at most `limit` entries."""

    after: str | None
    limit: int

    @classmethod
    def asked(cls, cursor: str | None, limit: int) -> Page:
        """Read a cursor; raises InvalidDocument if no earlier page gave it out."""
        if cursor is None:
            return cls(None, limit)
        try:
            after = base64.b64decode(cursor.encode("ascii"), altchars=b"-_", validate=True).decode("utf-8")
        except ValueError:
            raise InvalidDocument([Fault("/cursor", "is no cursor of this list", "`next` of an earlier page")]) from None
        return cls(after, limit)

    @property
    def number(self) -> int | None:
        """The cursor of a list in the order of numbers."""
        if self.after is None:
            return None
        if not (self.after.isascii() and self.after.isdecimal() and len(self.after) < 10):
            raise InvalidDocument([Fault("/cursor", "is no cursor of this list", "`next` of an earlier page")])
        return int(self.after)

    def document(self, name: str, found: Sequence[T], last: Callable[[T], object], shown: Callable[[T], Any]) -> dict[str, Any]:
        """Return a page of a list read with one entry more than `limit`: the entries, and the cursor of the next page."""
        entries, more = found[: self.limit], len(found) > self.limit
        next_cursor = base64.urlsafe_b64encode(str(last(entries[-1])).encode()).decode("ascii") if more else None
        return {name: [shown(entry) for entry in entries], "next": next_cursor}
