"""Rule books carried from one store to another: all versions as they were made, added to those that are there, or none."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from typing import Any

from inventory.errors import Fault, InvalidDocument, refuse
from inventory.limits import escaped, shown
from inventory.store import Connection, Note
from service.documents.rule_books.copies import FORMAT, MOST_BOOKS, BookCopyDocument, RuleBooksDocument, VersionCopyDocument
from service.documents.rule_books.known_books import DEFAULT
from service.documents.rules import judged
from service.records import rule_books as kept
from service.records.rule_book import BookVersion, KeptBook
from service.rule_books.chain import LONGEST_CHAIN
from service.rule_books.changes import name_faults

Key = tuple[str, int]
"""A book's name and the number of one of its versions."""


@dataclass(frozen=True, slots=True)
class BooksImport:
    """What rule books of a document are new, and how many versions are there already as they are in it."""

    books: tuple[KeptBook, ...] = ()
    versions: tuple[BookVersion, ...] = ()
    unchanged: int = 0


@dataclass(slots=True)
class _Counted:
    """What an import comes to so far."""

    there: dict[Key, BookVersion]
    added: list[BookVersion] = field(default_factory=list)
    faults: list[Fault] = field(default_factory=list)


def exported(connection: Connection) -> dict[str, Any]:
    """Return all rule books with all their versions, and which one is in use, as one document."""
    books = []
    for each in kept.books(connection):
        versions = reversed(kept.book_versions(connection, each.name))
        books.append({"name": each.name, "kind": each.kind, "versions": [_copy(version) for version in versions]})
    use = kept.use_now(connection)
    return {"format": FORMAT, "books": books, "in_use": None if use is None else {"book": use.book, "version": use.version}}


def imported(connection: Connection, document: RuleBooksDocument, *, write: bool) -> BooksImport:
    """Take rule books in that are not here; `write`: False only looks what would be new.

    Raises
    ------
    InvalidDocument
        A version here says something else, or the books do not go together: bases that are missing, circles, sums that are wrong.
    """
    here = {each.name: each for each in kept.books(connection)}
    counted = _Counted({(v.book, v.number): v for name in here for v in kept.book_versions(connection, name)})
    before = len(counted.there)
    unchanged, waiting = 0, []
    for k, book in enumerate(document.books):
        counted.faults += _book_faults(f"/books/{k}", book, here.get(book.name))
        for j, version in enumerate(book.versions):
            waiting.append((f"/books/{k}/versions/{j}", book.name, version))
    refuse(counted.faults)
    while waiting:
        ready = [each for each in waiting if each[2].base == DEFAULT or (each[2].base, each[2].base_version) in counted.there]
        for at, name, version in ready:
            unchanged += _taken(counted, at, name, version)
        refuse(counted.faults)
        if not ready:
            refuse(Fault(f"{at}/base", _nowhere(v), "a version that is here or in the document") for at, _, v in waiting)
        done = {at for at, _, _ in ready}
        waiting = [each for each in waiting if each[0] not in done]
    new = tuple(
        KeptBook(book.name, book.kind, len(book.versions)) for book in document.books if book.name not in here and book.versions
    )
    refuse([*_circle_faults(counted.there), *_count_faults(len(here) + len(new))])
    in_order = sorted(counted.added, key=lambda version: (version.book, version.number))
    if write:
        for added in new:
            kept.add_book(connection, added)
        for each in in_order:
            kept.add_book_version(connection, each)
    assert len(counted.there) == before + len(in_order)
    return BooksImport(new, tuple(in_order), unchanged)


def _copy(version: BookVersion) -> dict[str, Any]:
    plain = {name: value for name, value in version.plain().items() if name != "name"}
    return {**plain, "fingerprint": version.fingerprint}


def _taken(counted: _Counted, at: str, name: str, copy: VersionCopyDocument) -> int:
    """Compare a version with the one that is here, or count it in; return how many were here."""
    try:
        version = _version(name, copy, counted.there)
    except InvalidDocument as bad:
        counted.faults += [fault.under(at) for fault in bad.faults]
        return 0
    there = counted.there.get((name, version.number))
    if there is not None and there.fingerprint != version.fingerprint:
        wrong = f"version {version.number} of rule book {shown(name)} says something else here"
        counted.faults.append(Fault(at, wrong, "the same version, or a book of another name"))
    elif there is None:
        counted.there[name, version.number] = version
        counted.added.append(version)
    return int(there is not None)


def _version(name: str, copy: VersionCopyDocument, there: Mapping[Key, BookVersion]) -> BookVersion:
    """Return a version of a document, computed anew from its base; raises InvalidDocument."""
    judged(copy.set)
    note = _note(copy)
    below = {} if copy.base == DEFAULT else there[copy.base, copy.base_version].resolved
    resolved = {**below, **copy.set}
    version = BookVersion(name, copy.version, copy.base, copy.base_version, dict(copy.set), resolved, note.who, note.why, note.at)
    odd = sorted(rule for rule in {*resolved, *copy.resolved} if resolved.get(rule) != copy.resolved.get(rule))
    faults = [Fault(f"/resolved/{escaped(rule)}", "is not what base and `set` come to", _value(resolved, rule)) for rule in odd]
    if copy.base == DEFAULT and copy.base_version != 1:
        faults.append(Fault("/base_version", f"the built-in numbers have no version {copy.base_version}", "1"))
    if not faults and copy.fingerprint not in ("", version.fingerprint):
        faults.append(Fault("/fingerprint", "is of something else", f"{version.fingerprint}, or none"))
    refuse(faults)
    return version


def _value(resolved: Mapping[str, float], rule: str) -> str:
    return f"{resolved[rule]:g}" if rule in resolved else "nothing: no book sets it"


def _note(copy: VersionCopyDocument) -> Note:
    try:
        note = Note(copy.by, copy.at, copy.why)
    except InvalidDocument as bad:
        raise InvalidDocument(Fault(f.pointer.replace("/who", "/by"), f.wrong, f.accepted) for f in bad.faults) from None
    refuse([] if copy.why.strip() else [Fault("/why", "no reason is given", "why it was changed")])
    return note


def _nowhere(version: VersionCopyDocument) -> str:
    return f"version {version.base_version} of rule book {shown(version.base)} is nowhere, or starts from this one"


def _book_faults(at: str, book: BookCopyDocument, here: KeptBook | None) -> Iterator[Fault]:
    yield from (Fault(at + "/name", fault.wrong, fault.accepted) for fault in name_faults(book.name))
    if here is not None and here.kind != book.kind:
        yield Fault(f"{at}/kind", f"rule book {shown(book.name)} is a {here.kind}'s here", here.kind)
    for k, version in enumerate(book.versions):
        if version.version != k + 1:
            yield Fault(f"{at}/versions/{k}/version", f"number {version.version} at place {k + 1}", str(k + 1))
        if version.base == book.name:
            yield Fault(f"{at}/versions/{k}/base", "the book would start from itself", "another book")


def _circle_faults(versions: Mapping[Key, BookVersion]) -> Iterator[Fault]:
    """Yield a fault for the first book whose newest version would start from itself, or from too many others."""
    newest: dict[str, BookVersion] = {}
    for (name, number), version in versions.items():
        if name not in newest or newest[name].number < number:
            newest[name] = version
    for name in sorted(newest):
        path = [name]
        while (below := newest[path[-1]].base) != DEFAULT and below not in path:
            path.append(below)
        if below != DEFAULT or len(path) > LONGEST_CHAIN:
            listed = " -> ".join(shown(each) for each in [*path, *([] if below == DEFAULT else [below])])
            yield Fault("/books", f"too many books start from each other, or from themselves: {listed}", "chains without circles")
            return


def _count_faults(count: int) -> Iterator[Fault]:
    if count > MOST_BOOKS:
        yield Fault("/books", f"{count:,} rule books with those that are here", f"at most {MOST_BOOKS:,}")
