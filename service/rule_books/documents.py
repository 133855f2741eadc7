"""Kept rule books as the documents that tell of them."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from typing import Any

from service.documents.rule_books.answers import (
    BookDifferenceDocument,
    BookHeadDocument,
    BookNameDocument,
    BooksImportDocument,
    BookUseDocument,
    ChangedBookDocument,
    ResolvedRuleDocument,
    RuleBookDocument,
    RuleDifferenceDocument,
    ValueAtDocument,
    VersionDocument,
)
from service.documents.rule_books.known_books import DEFAULT
from service.documents.stockroom.days import moment_text
from service.records.rule_book import BookUse, BookVersion, KeptBook
from service.rule_books.chain import ResolvedRule, ValueAt
from service.rule_books.changes import ChangedBook
from service.rule_books.copies import BooksImport
from service.rule_books.differences import RuleDifference
from solver.rule_book import VALUES


def use_document(use: BookUse | None) -> BookUseDocument:
    """Return which book is in use."""
    if use is None:
        return BookUseDocument(book=DEFAULT, version=None, number=1, by=None, at=None, why=None)
    at = moment_text(use.at)
    return BookUseDocument(book=use.book, version=use.version, number=use.number, by=use.by, at=at, why=use.why)


def head_document(book: KeptBook, newest: Mapping[str, BookVersion]) -> BookHeadDocument:
    """Return a book as its newest version has it, of the newest versions of all."""
    version = newest[book.name]
    below = newest.get(version.base)
    return BookHeadDocument(
        **_made(version),
        name=book.name,
        kind=book.kind,
        base_newest=1 if below is None else below.number,
        rules_set=len(version.changes),
    )


def version_document(version: BookVersion) -> VersionDocument:
    """Return a version as it was made."""
    return VersionDocument(**_made(version), set=dict(version.changes), fingerprint=version.fingerprint)


def changed_book_document(changed: ChangedBook) -> ChangedBookDocument:
    """Return what became of a change."""
    version = changed.version
    return ChangedBookDocument(
        **_made(version),
        name=version.book,
        set=dict(version.changes),
        fingerprint=version.fingerprint,
        followed=[name_document(each.book, each.number) for each in changed.followed],
        behind=[name_document(each.book, each.number) for each in changed.behind],
    )


def difference_document(
    before: BookVersion | None, after: BookVersion | None, found: Iterable[RuleDifference]
) -> BookDifferenceDocument:  # fmt: skip
    """Return what differs between two versions; None: the built-in numbers."""
    names = [name_document(DEFAULT, 1) if each is None else name_document(each.book, each.number) for each in (before, after)]
    rules = [
        RuleDifferenceDocument(
            name=each.name,
            unit=VALUES[each.name].unit,
            before=value_document(each.before),
            after=value_document(each.after),
        )
        for each in found
    ]
    return BookDifferenceDocument(before=names[0], after=names[1], rules=rules)


def import_document(done: BooksImport, *, written: bool) -> BooksImportDocument:
    """Return what rule books of a document are new here."""
    return BooksImportDocument(
        books=[book.name for book in done.books],
        versions=[name_document(each.book, each.number) for each in done.versions],
        unchanged=done.unchanged,
        written=written,
    )


def name_document(name: str, number: int) -> BookNameDocument:
    """Return the name and number of a version."""
    return BookNameDocument(name=name, version=number)


def value_document(at: ValueAt) -> ValueAtDocument:
    """Return what one link of a chain says of a rule."""
    return ValueAtDocument(book=at.book, version=at.version, value=at.value)


def resolved_document(rule: ResolvedRule) -> ResolvedRuleDocument:
    """Return a resolved rule."""
    steps = [value_document(step) for step in rule.steps]
    unit = VALUES[rule.name].unit
    return ResolvedRuleDocument(name=rule.name, value=rule.value, unit=unit, book=rule.book, version=rule.version, steps=steps)


def rule_book_document(version: BookVersion | None, rules: Sequence[ResolvedRule]) -> RuleBookDocument:
    """Return a version with its rules resolved; None: the built-in numbers."""
    resolved = [resolved_document(rule) for rule in rules]
    if version is None:
        nothing: dict[str, Any] = dict.fromkeys(("base", "base_version", "by", "at", "why", "fingerprint"))
        return RuleBookDocument(name=DEFAULT, version=1, set={}, rules=resolved, **nothing)
    says: dict[str, Any] = {"name": version.book, "set": dict(version.changes), "fingerprint": version.fingerprint}
    return RuleBookDocument(**_made(version), **says, rules=resolved)


def _made(version: BookVersion) -> dict[str, Any]:
    at = moment_text(version.at)
    base = {"base": version.base, "base_version": version.base_version}
    return {"version": version.number, **base, "by": version.by, "at": at, "why": version.why}
