"""Kept rule books as requests are read with them."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import replace
from typing import Any

from inventory.errors import InvalidDocument
from inventory.store import Connection
from service.documents.rule_books.known_books import DEFAULT, BookReference, KnownBooks, references_in
from service.documents.rules import RulesDocument
from service.records import rule_books as kept
from service.records.database import Database
from solver.rule_book.book import RuleBook


def known_books(database: Database, references: Iterable[BookReference] = ()) -> KnownBooks:
    """Return the rule books of a store as one moment has them, those that are referred to in full."""

    def action(connection: Connection) -> KnownBooks:
        newest = {each.name: each.newest for each in kept.books(connection)}
        use = kept.use_now(connection)
        named = DEFAULT if use is None else use.book
        in_use = RuleBook() if use is None or named == DEFAULT else resolved_book(connection, named, use.version)
        return looked_up(connection, KnownBooks(newest, in_use), references)

    return database.read(action)


def also(database: Database, books: KnownBooks, wanted: Iterable[BookReference]) -> KnownBooks:
    """Return the same books with these in full too; no version is newest that was not before."""
    return database.read(lambda connection: looked_up(connection, books, wanted))


def book_of(database: Database, request: Mapping[str, Any]) -> RuleBook:
    """Return the rule book a request would start from now, without its own changes.

    That is the one in use where it names none, or none that is there.
    """
    books = known_books(database, references_in([request]))
    rules = request.get("rules")
    named = rules if isinstance(rules, Mapping) else {}
    try:
        return RulesDocument.model_validate({name: named.get(name) for name in ("base", "version")}).start(books)
    except (InvalidDocument, ValueError):
        return books.in_use


def resolved_book(connection: Connection, name: str, number: int | None = None) -> RuleBook:
    """Return a rule book as the planner takes it, its newest version if none is named; raises NotFound."""
    return RuleBook() if name == DEFAULT else kept.book_version(connection, name, number).rules()


def looked_up(connection: Connection, books: KnownBooks, references: Iterable[BookReference]) -> KnownBooks:
    """Return the books with those in full that are referred to and there."""
    wanted = books.not_found_yet(references)
    if not wanted:
        return books
    found = {(name, number): resolved_book(connection, name, number) for name, number in wanted}
    return replace(books, found={**books.found, **found})
