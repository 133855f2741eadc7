"""The chain of books a book starts from, down to the built-in numbers, and where each of its values comes from."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from inventory.errors import Fault, refuse
from inventory.limits import shown, suggestion
from inventory.store import Connection
from inventory.store.errors import NotFound
from service.documents.rule_books.known_books import DEFAULT
from service.records import rule_books as kept
from service.records.rule_book import BookVersion
from solver.rule_book import VALUES

LONGEST_CHAIN = 5
"""So many books may start from each other, the built-in numbers not counted: shop, group, customer and two to spare."""


@dataclass(frozen=True, slots=True)
class ValueAt:
    """What a rule says at one link of a chain: `book` and `version` say it, or the built-in numbers do."""

    book: str
    version: int
    value: float


@dataclass(frozen=True, slots=True)
class ResolvedRule:
    """A rule's value in a book, where it comes from, and what the links below said: the built-in number first, the value last."""

    name: str
    steps: tuple[ValueAt, ...]

    @property
    def value(self) -> float:
        """The value that counts."""
        return self.steps[-1].value

    @property
    def book(self) -> str:
        """The book it comes from."""
        return self.steps[-1].book

    @property
    def version(self) -> int:
        """The version of that book."""
        return self.steps[-1].version


def base_version(connection: Connection, name: str, number: int | None, at: str = "/base_version") -> BookVersion | None:
    """Return the version of a base that is named, its newest without a number; None: the built-in numbers.

    Raises
    ------
    InvalidDocument
        There is no such book, or no such version of it.
    """
    if name == DEFAULT:
        refuse([Fault(at, f"the built-in numbers have no version {number}", "1, or none")] if number not in (None, 1) else [])
        return None
    newest = {each.name: each.newest for each in kept.books(connection)}
    accepted = suggestion(name, [DEFAULT, *newest], "a rule book")
    refuse([] if name in newest else [Fault("/base", f"there is no rule book {shown(name)}", accepted)])
    try:
        return kept.book_version(connection, name, number)
    except NotFound:
        wrong = f"rule book {shown(name)} has no version {number}"
        refuse([Fault(at, wrong, f"1 to {newest[name]}, or none for the newest")])
        raise


def chain_of(connection: Connection, version: BookVersion | None) -> tuple[BookVersion, ...]:
    """Return a version and those it starts from, the nearest to the built-in numbers first; none of None."""
    links: list[BookVersion] = []
    while version is not None:
        links.append(version)
        version = None if version.base == DEFAULT else kept.book_version(connection, version.base, version.base_version)
    return tuple(reversed(links))


def chain_faults(name: str, below: Sequence[BookVersion], newest: Mapping[str, BookVersion]) -> list[Fault]:
    """Return a fault if a book would start from itself, or from too many books.

    Looked at are the versions the chain is of, and the newest ones of the same books, to which a book that follows is moved.

    Parameters
    ----------
    below : sequence of BookVersion
        The chain it would start from, as `chain_of` has it.
    newest : mapping
        The newest version of every book, by name.
    """
    if not below:
        return []
    now = [below[-1].book]
    while (base := newest[now[-1]].base) != DEFAULT and name not in now and len(now) < LONGEST_CHAIN:
        now.append(base)
    for books in ([link.book for link in reversed(below)], now):
        path = " -> ".join(shown(each) for each in [name, *books])
        if name in books:
            return [Fault("/base", f"the book would start from itself: {path}", "a book that does not start from this one")]
        if len(books) >= LONGEST_CHAIN:
            return [Fault("/base", f"too many books start from each other: {path}", f"a chain of at most {LONGEST_CHAIN}")]
    return []


def resolved_rules(chain: tuple[BookVersion, ...]) -> tuple[ResolvedRule, ...]:
    """Return every rule with its value at the end of a chain and where that comes from."""
    return tuple(
        ResolvedRule(
            name,
            (
                ValueAt(DEFAULT, 1, value.default),
                *(ValueAt(link.book, link.number, link.changes[name]) for link in chain if name in link.changes),
            ),
        )
        for name, value in VALUES.items()
    )
