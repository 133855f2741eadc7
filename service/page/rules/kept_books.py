"""Kept rule books as the page tells of them: which is in use, which can get a new version, what others changed of one."""

from __future__ import annotations

import shlex
from dataclasses import dataclass
from itertools import pairwise

from inventory.store import Connection
from inventory.store.errors import NotFound
from service.page.rules.found_rules import figure
from service.records import rule_books as kept
from service.records.rule_book import BookUse, BookVersion, KeptBook
from service.rule_books.changes import behind
from service.rule_books.differences import differences
from solver.rule_book import VALUES

NEW = ""
"""What stands for a book that is not there yet where one is chosen."""
_MOST_NEWER = 20


@dataclass(frozen=True, slots=True)
class BooksNow:
    """The kept books by name, and which of them counts where a request names none."""

    books: tuple[KeptBook, ...]
    use: BookUse | None

    @classmethod
    def of(cls, connection: Connection) -> BooksNow:
        """Return the books of a store."""
        return cls(tuple(kept.books(connection)), kept.use_now(connection))

    @property
    def options(self) -> list[tuple[str, str]]:
        """The books that a new version can be of, each with the version that would be its base, and what is said of it."""
        options = []
        for book in self.books:
            whose = ", a customer's" if book.kind == "customer" else ", in use" if self._used(book.name) else ""
            options.append((_key(book), f"{book.name}{whose}, now at version {book.newest}"))
        return [*options, (NEW, "a new book of the shop")]

    @property
    def first_choice(self) -> str:
        """The book in use, else the first one."""
        keys = {book.name: _key(book) for book in self.books}
        used = None if self.use is None else keys.get(self.use.book)
        return used or next(iter(keys.values()), NEW)

    def key(self, name: str) -> str | None:
        """Return what stands for a book as it is now, None if there is none of that name."""
        return next((_key(book) for book in self.books if book.name == name), None)

    @property
    def words(self) -> str:
        """What a request goes by that names no book."""
        use = self.use
        newest = {book.name: book.newest for book in self.books}
        if use is None or use.book not in newest:
            return "the built-in numbers"
        if use.version is not None:
            return f"rule book {use.book}, version {use.version} whatever comes later"
        return f"rule book {use.book}, always its newest version, now {newest[use.book]}"

    def counts(self, version: BookVersion) -> bool:
        """Whether it is this version that requests go by that name no book."""
        if self.use is None or self.use.book != version.book:
            return False
        newest = {book.name: book.newest for book in self.books}
        return version.number == (self.use.version or newest[version.book])

    def _used(self, name: str) -> bool:
        return self.use is not None and self.use.book == name


@dataclass(frozen=True, slots=True)
class SavedVersion:
    """A version that was just made, and what is to be done with it.

    Parameters
    ----------
    customer : bool
        Whether it is of a customer's book, which requests name.
    counts : bool
        Whether requests that name no book go by it.
    behind : tuple of BookVersion
        Books that still start from an older version of its book.
    """

    version: BookVersion
    customer: bool
    counts: bool
    behind: tuple[BookVersion, ...]

    @property
    def quoted(self) -> str:
        """The book's name as a shell takes it."""
        return shlex.quote(self.version.book)


def saved_version(connection: Connection, name: str, number: int) -> SavedVersion | None:
    """Return a version with what is to be done with it, None if there is none such."""
    try:
        version = kept.book_version(connection, name, number)
    except NotFound:
        return None
    now, book = BooksNow.of(connection), kept.book(connection, name)
    return SavedVersion(version, book.kind == "customer", now.counts(version), behind(connection, name))


@dataclass(frozen=True, slots=True)
class NewerVersion:
    """What somebody else made of a book meanwhile; `changed` says each rule with its two numbers."""

    version: BookVersion
    changed: tuple[str, ...]


def newer_versions(connection: Connection, name: str, based_on: int) -> tuple[NewerVersion, ...]:
    """Return the versions of a book after one of them, oldest first, the newest twenty; none if there is no such book."""
    try:
        found = kept.book_versions(connection, name, limit=_MOST_NEWER + 1)[::-1]
    except NotFound:
        return ()
    pairs = [(before, after) for before, after in pairwise(found) if after.number > based_on]
    return tuple(
        NewerVersion(
            after,
            tuple(
                f"{each.name} from {figure(each.before.value)} to {_with_unit(each.name, each.after.value)}"
                for each in differences(connection, before, after)
            ),
        )
        for before, after in pairs
    )


def _with_unit(rule: str, value: float) -> str:
    unit = VALUES[rule].unit
    return figure(value) if unit == "-" else f"{figure(value)} {unit}"


def _key(book: KeptBook) -> str:
    return f"{book.name}@{book.newest}"
