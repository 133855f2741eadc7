"""Pages of lists, and the cursors between them."""

from __future__ import annotations

import base64
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Any, TypeVar

from inventory.errors import Fault, InvalidDocument
from inventory.limits import NAME_LENGTH, unprintable

T = TypeVar("T")
FOREIGN = Fault("/query/cursor", "is no cursor of this list", "`next` of an earlier page")
"""What is wrong with a cursor that no page of a list gave out."""


@dataclass(frozen=True, slots=True)
class Page:
    """Which part of a list: behind `after`, at most `limit` entries."""

    after: str
    limit: int

    @classmethod
    def asked(cls, cursor: str | None, limit: int) -> Page:
        """Read a cursor; raises InvalidDocument if no earlier page gave it out."""
        if cursor is None:
            return cls("", limit)
        try:
            after = base64.b64decode(cursor.encode("ascii"), altchars=b"-_", validate=True).decode("utf-8")
        except ValueError:
            raise InvalidDocument([FOREIGN]) from None
        if len(after) > NAME_LENGTH or unprintable(after) is not None:
            raise InvalidDocument([FOREIGN])
        return cls(after, limit)

    @property
    def number(self) -> int | None:
        """The cursor of a list in the order of numbers, None on its first page."""
        if not self.after:
            return None
        if not (self.after.isascii() and self.after.isdecimal() and len(self.after) < 10):
            raise InvalidDocument([FOREIGN])
        return int(self.after)

    @property
    def place(self) -> tuple[datetime, str] | None:
        """The cursor of a list in the order of moments, with an id where two are at one; None on its first page."""
        if not self.after:
            return None
        moment, blank, id = self.after.partition(" ")
        try:
            at = datetime.fromisoformat(moment)
        except ValueError:
            raise InvalidDocument([FOREIGN]) from None
        if not blank or at.tzinfo is None or not at.isoformat() == moment:
            raise InvalidDocument([FOREIGN])
        return at, id

    @property
    def fetched(self) -> int:
        """Entries to look up: one more than are shown says whether there is a next page."""
        return self.limit + 1

    def document(self, name: str, found: Sequence[T], last: Callable[[T], object], shown: Callable[[T], Any]) -> dict[str, Any]:
        """Return the entries of a list of `fetched` ones, and the cursor of the next page."""
        entries, more = found[: self.limit], len(found) > self.limit
        next_cursor = cursor_behind(last(entries[-1])) if more else None
        return {name: [shown(entry) for entry in entries], "next": next_cursor}


def cursor_behind(place: object) -> str:
    """Return the cursor of the page behind a place of a list."""
    return base64.urlsafe_b64encode(str(place).encode()).decode("ascii")
