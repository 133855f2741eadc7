"""A kept rule book as values: who made it, its versions, which one is used."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import UTC, datetime
from typing import Any

from service.documents.rule_books.known_books import BookKind
from solver.rule_book.book import RuleBook


@dataclass(frozen=True, slots=True)
class KeptBook:
    """A rule book of the shop or of one of its customers; `newest` is the number of its newest version."""

    name: str
    kind: BookKind
    newest: int


@dataclass(frozen=True, slots=True)
class BookVersion:
    """What a rule book says from one change to the next; it never changes.

    Parameters
    ----------
    book, number : str, int
        The book's name, and which of its versions it is, from 1.
    base, base_version : str, int
        The book it starts from, and the version of it: a later one of the base changes nothing here.
    changes : mapping
        Rules that differ from the base, by name, lengths in mm.
    resolved : mapping
        Rules that differ from the built-in numbers, whichever book of the chain they come from.
    by, why, at : str, str, datetime
        Who made it, for what reason, when.
    """

    book: str
    number: int
    base: str
    base_version: int
    changes: Mapping[str, float]
    resolved: Mapping[str, float]
    by: str
    why: str
    at: datetime

    @property
    def fingerprint(self) -> str:
        """SHA-256 of all it says, in hexadecimal."""
        text = json.dumps(self.plain(), ensure_ascii=False, sort_keys=True, separators=(",", ":"))
        return hashlib.sha256(text.encode()).hexdigest()

    def plain(self) -> dict[str, Any]:
        """Return all it says as plain values, by the names of its documents."""
        at = self.at.astimezone(UTC).isoformat().replace("+00:00", "Z")
        base = {"base": self.base, "base_version": self.base_version}
        says = {"set": dict(self.changes), "resolved": dict(self.resolved)}
        return {"name": self.book, "version": self.number, **base, **says, "by": self.by, "at": at, "why": self.why}

    def rules(self) -> RuleBook:
        """Return it as the planner takes it."""
        return RuleBook(self.resolved, self.book, self.number)


@dataclass(frozen=True, slots=True)
class BookUse:
    """Which book counts where a request names none, from this moment on; `version` None: always its newest."""

    number: int
    book: str
    version: int | None
    by: str
    why: str
    at: datetime
