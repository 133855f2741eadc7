"""Rule books in the database. Versions and uses are only ever added; nothing of them is changed or removed."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

import sqlalchemy as sa

from inventory.limits import shown
from inventory.store.errors import NotFound, known_as
from service.records.rule_book import BookUse, BookVersion, KeptBook
from service.records.schema import rule_book_uses, rule_book_versions, rule_books

_VERSIONS, _USES = rule_book_versions.c, rule_book_uses.c


def books(connection: sa.Connection, after: str = "", limit: int | None = None) -> list[KeptBook]:
    """Return rule books by name, behind `after`."""
    query = sa.select(rule_books).where(rule_books.c.name > after).order_by(rule_books.c.name).limit(limit)
    return [_book(row) for row in connection.execute(query)]


def book(connection: sa.Connection, name: str) -> KeptBook:
    """Return a rule book; raises NotFound."""
    known_as("rule book", name)
    row = connection.execute(sa.select(rule_books).where(rule_books.c.name == name)).one_or_none()
    if row is None:
        raise NotFound("rule book", shown(name))
    return _book(row)


def book_version(connection: sa.Connection, name: str, number: int | None = None) -> BookVersion:
    """Return a version of a rule book, its newest if none is named; raises NotFound."""
    wanted = book(connection, name).newest if number is None else number
    query = sa.select(rule_book_versions).where(_VERSIONS.book == name, _VERSIONS.number == wanted)
    row = connection.execute(query).one_or_none()
    if row is None:
        book(connection, name)
        raise NotFound(f"version {wanted} of rule book", shown(name))
    return _version(row)


def book_versions(connection: sa.Connection, name: str, before: int | None = None, limit: int | None = None) -> list[BookVersion]:
    """Return the versions of a rule book, newest first, before that number; raises NotFound."""
    book(connection, name)
    query = sa.select(rule_book_versions).where(_VERSIONS.book == name).order_by(_VERSIONS.number.desc()).limit(limit)
    if before is not None:
        query = query.where(_VERSIONS.number < before)
    return [_version(row) for row in connection.execute(query)]


def newest_versions(connection: sa.Connection, names: Iterable[str] | None = None) -> dict[str, BookVersion]:
    """Return the newest version of every rule book, or of those named, by name."""
    query = sa.select(rule_book_versions).join(rule_books, (rule_books.c.name == _VERSIONS.book))
    query = query.where(rule_books.c.newest == _VERSIONS.number).order_by(_VERSIONS.book)
    if names is not None:
        query = query.where(_VERSIONS.book.in_(sorted(names)))
    return {row.book: _version(row) for row in connection.execute(query)}


def count(connection: sa.Connection) -> int:
    """Return how many versions there are, of all books."""
    return int(connection.execute(sa.select(sa.func.count()).select_from(rule_book_versions)).scalar_one())


def altered(connection: sa.Connection) -> list[str]:
    """Return the versions, as ``NAME@NUMBER``, that do not have the fingerprint they were written down with."""
    rows = connection.execute(sa.select(rule_book_versions).order_by(_VERSIONS.book, _VERSIONS.number))
    return [f"{row.book}@{row.number}" for row in rows if _version(row).fingerprint != row.fingerprint]


def add_book(connection: sa.Connection, added: KeptBook) -> None:
    """Write a new rule book down, without any version yet."""
    values = {"name": added.name, "kind": added.kind, "newest": added.newest}
    connection.execute(rule_books.insert().values(values))


def add_book_version(connection: sa.Connection, added: BookVersion) -> None:
    """Write a version down as the newest of its book."""
    plain = {name: getattr(added, name) for name in ("book", "number", "base", "base_version", "by", "why", "at", "fingerprint")}
    says = {"changes": dict(added.changes), "resolved": dict(added.resolved)}
    connection.execute(rule_book_versions.insert().values(**plain, **says))
    connection.execute(rule_books.update().where(rule_books.c.name == added.book).values(newest=added.number))


def use_now(connection: sa.Connection) -> BookUse | None:
    """Return which book is used where none is named, None if that was never said."""
    found = uses(connection, limit=1)
    return found[0] if found else None


def uses(connection: sa.Connection, limit: int | None = None) -> list[BookUse]:
    """Return which books were used, newest first."""
    query = sa.select(rule_book_uses).order_by(_USES.number.desc()).limit(limit)
    return [BookUse(**{name: getattr(row, name) for name in BookUse.__dataclass_fields__}) for row in connection.execute(query)]


def add_use(connection: sa.Connection, added: BookUse) -> None:
    """Write down which book is used from now on."""
    values = {name: getattr(added, name) for name in BookUse.__dataclass_fields__}
    connection.execute(rule_book_uses.insert().values(values))


def _book(row: Any) -> KeptBook:
    return KeptBook(row.name, row.kind, row.newest)


def _version(row: Any) -> BookVersion:
    return BookVersion(**{name: getattr(row, name) for name in BookVersion.__dataclass_fields__})
