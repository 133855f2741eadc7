"""What differs between two versions of rule books."""

from __future__ import annotations

from dataclasses import dataclass

from inventory.store import Connection
from service.documents.rule_books.known_books import DEFAULT
from service.records import rule_books as kept
from service.records.rule_book import BookVersion
from service.rule_books.chain import ValueAt, chain_of, resolved_rules


@dataclass(frozen=True, slots=True)
class RuleDifference:
    """A rule that has another value in one version than in another, and where each comes from."""

    name: str
    before: ValueAt
    after: ValueAt


def version_named(connection: Connection, name: str, number: int | None = None) -> BookVersion | None:
    """Return a version of a book, its newest without a number; None: the built-in numbers; raises NotFound."""
    return None if name == DEFAULT and number in (None, 1) else kept.book_version(connection, name, number)


def differences(connection: Connection, before: BookVersion | None, after: BookVersion | None) -> tuple[RuleDifference, ...]:
    """Return the rules whose values differ, whichever books of the two chains they come from."""
    one, other = (resolved_rules(chain_of(connection, each)) for each in (before, after))
    pairs = zip(one, other, strict=True)
    return tuple(RuleDifference(a.name, a.steps[-1], b.steps[-1]) for a, b in pairs if a.value != b.value)
