"""Rule books made and changed. Every change is a new version with who, when and why; what was said before stays.

A version starts from one version of its base. A later version of the base changes nothing of it, so what a version says never
changes; the books that are left behind are named, and `follow` makes a version of each that catches up.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

from inventory.errors import Fault, refuse
from inventory.limits import id_faults, shown, suggestion
from inventory.store import Connection, Note
from inventory.store.catalogue import ANY_VERSION
from inventory.store.errors import AlreadyThere, Stale
from service.documents.rule_books.copies import MOST_BOOKS, MOST_VERSIONS
from service.documents.rule_books.known_books import DEFAULT, BookKind
from service.documents.rules import judged
from service.records import rule_books as kept
from service.records.rule_book import BookUse, BookVersion, KeptBook
from service.rule_books.chain import base_version, chain_faults, chain_of

TAKEN = (DEFAULT, "in-use", "export", "import", "what-if")
"""Names that no book may have: they mean something else where a book's name stands."""


@dataclass(frozen=True, slots=True)
class BookChange:
    """What the next version of a book changes of the one before.

    Parameters
    ----------
    set : mapping
        Rules and their new values, lengths in mm.
    unset : sequence of str
        Rules that are as in the base again.
    base, base_number : str or None, int or None
        The book it starts from and the version of it; None: as before, or the newest of a base that is named.
    """

    set: Mapping[str, float] = field(default_factory=dict)
    unset: Sequence[str] = ()
    base: str | None = None
    base_number: int | None = None


@dataclass(frozen=True, slots=True)
class ChangedBook:
    """A new version, the versions that followed it, and the books whose newest version starts from an older one of it."""

    version: BookVersion
    followed: tuple[BookVersion, ...] = ()
    behind: tuple[BookVersion, ...] = ()


def make_book(connection: Connection, name: str, kind: BookKind, change: BookChange, note: Note) -> ChangedBook:
    """Take a new rule book in, its first version with it; where no base is named, a customer's starts from the book in use.

    Raises
    ------
    InvalidDocument
        The name, a rule, the base or the reason is none.
    AlreadyThere
        There is a book of that name.
    """
    refuse([*name_faults(name), *_reason_faults(note)])
    there = {each.name for each in kept.books(connection)}
    if name in there:
        raise AlreadyThere("rule book", shown(name))
    refuse([Fault("", f"{len(there)} rule books are there already", "at most so many")] if len(there) >= MOST_BOOKS else [])
    base, number = change.base, change.base_number
    if base is None and kind == "customer":
        used = kept.use_now(connection)
        base, number = (DEFAULT, None) if used is None else (used.book, used.version)
    start = base_version(connection, DEFAULT if base is None else base, number)
    refuse(_unset_faults(change.unset, {}, name))
    refuse(chain_faults(name, chain_of(connection, start), kept.newest_versions(connection)))
    version = _made(name, 1, start, dict(change.set), note)
    kept.add_book(connection, KeptBook(name, kind, 1))
    kept.add_book_version(connection, version)
    return ChangedBook(version)


def add_version(
    connection: Connection, name: str, change: BookChange, note: Note, expected: int, follow: bool = False
) -> ChangedBook:  # fmt: skip
    """Change a rule book by a new version.

    Parameters
    ----------
    expected : int
        The number of the version it is based on, or `ANY_VERSION`.
    follow : bool
        Whether each book that starts from this one gets a version that starts from the new one, and so on.

    Raises
    ------
    NotFound
        There is no such book.
    Stale
        Others changed it since.
    InvalidDocument
        A rule, the base or the reason is none, or nothing would change.
    """
    before = kept.book_version(connection, name)
    if expected not in (ANY_VERSION, before.number):
        raise Stale("rule book", shown(name), expected, before.number)
    refuse([*_reason_faults(note), *_unset_faults(change.unset, before.changes, name)])
    refuse(
        [Fault("", f"{before.number} versions are there already", "at most so many")] if before.number >= MOST_VERSIONS else []
    )
    moved = change.base is not None or change.base_number is not None
    base, number = change.base or before.base, change.base_number if moved else before.base_version
    start = base_version(connection, base, number)
    newest = kept.newest_versions(connection)
    refuse(chain_faults(name, chain_of(connection, start), newest))
    changes = {rule: value for rule, value in before.changes.items() if rule not in change.unset} | dict(change.set)
    version = _made(name, before.number + 1, start, changes, note)
    same = (version.base, version.base_version, version.changes) == (before.base, before.base_version, before.changes)
    refuse(
        [Fault("/set", f"changes nothing of version {before.number}", "a rule at another value, or another base")] if same else []
    )
    kept.add_book_version(connection, version)
    newest[name] = version
    followed = tuple(_followers(connection, version, note, newest)) if follow else ()
    return ChangedBook(version, followed, _behind(name, newest))


def behind(connection: Connection, name: str) -> tuple[BookVersion, ...]:
    """Return the newest versions of books that start from an older version of this one."""
    return _behind(name, kept.newest_versions(connection))


def use_book(connection: Connection, name: str, number: int | None, note: Note, expected: int) -> BookUse:
    """Have a shop's book, or the built-in numbers, count where a request names no book.

    Parameters
    ----------
    number : int or None
        A version that counts whatever comes later; None: always the newest.
    expected : int
        The number of the use it is based on, 1 if none was said before, or `ANY_VERSION`.

    Raises
    ------
    InvalidDocument, Stale
    """
    refuse(_reason_faults(note))
    before = kept.use_now(connection)
    there = 1 if before is None else before.number
    if expected not in (ANY_VERSION, there):
        raise Stale("use of", "rule books", expected, there)
    if name != DEFAULT:
        books = {each.name: each for each in kept.books(connection)}
        found = books.get(name)
        refuse(
            [] if found else [Fault("/book", f"there is no rule book {shown(name)}", suggestion(name, [DEFAULT, *books], "one"))]
        )
        assert found is not None
        only = "is a customer's: requests name it; every other request goes by the shop's"
        refuse([Fault("/book", f"{shown(name)} {only}", "a book of the shop")] if found.kind == "customer" else [])
        base_version(connection, name, number, "/version")
    elif number not in (None, 1):
        refuse([Fault("/version", f"the built-in numbers have no version {number}", "1, or none")])
    use = BookUse(there + 1, name, number, note.who, note.why, note.at)
    kept.add_use(connection, use)
    return use


def _behind(name: str, newest: Mapping[str, BookVersion]) -> tuple[BookVersion, ...]:
    at = newest[name].number
    return tuple(each for _, each in sorted(newest.items()) if each.base == name and each.base_version < at)


def _followers(connection: Connection, base: BookVersion, note: Note, newest: dict[str, BookVersion]) -> list[BookVersion]:
    """Have every book that starts from an older version of `base` start from this one; `newest` is kept as it goes."""
    made: list[BookVersion] = []
    below = chain_of(connection, base)
    for before in _behind(base.book, newest):
        refuse(chain_faults(before.book, below, newest))
        follower = _made(before.book, before.number + 1, base, dict(before.changes), note)
        kept.add_book_version(connection, follower)
        newest[follower.book] = follower
        made += [follower, *_followers(connection, follower, note, newest)]
    return made


def _made(name: str, number: int, start: BookVersion | None, changes: dict[str, float], note: Note) -> BookVersion:
    """Return a version on its base, None: the built-in numbers; raises InvalidDocument for rules that are none."""
    judged(changes)
    base, at, below = (DEFAULT, 1, {}) if start is None else (start.book, start.number, start.resolved)
    resolved = {**below, **changes}
    return BookVersion(name, number, base, at, changes, resolved, note.who, note.why, note.at)


def name_faults(name: str) -> list[Fault]:
    """Return what is wrong with a name for a rule book."""
    faults = list(id_faults("/name", name))
    accepted = f"1 to 64 characters, none of them / or @, and none of {', '.join(TAKEN)}"
    if not faults and (name in TAKEN or name in (".", "..") or {"/", "@"} & set(name)):
        faults.append(Fault("/name", f"a rule book cannot be called {shown(name)}", accepted))
    return faults


def _reason_faults(note: Note) -> list[Fault]:
    return [] if note.why.strip() else [Fault("/why", "no reason is given", "why it changes, up to 1,000 characters")]


def _unset_faults(names: Sequence[str], changes: Mapping[str, float], book: str) -> list[Fault]:
    accepted = suggestion("", changes, "a rule that it sets") if changes else "nothing: it sets none"
    return [
        Fault(f"/unset/{k}", f"{shown(name)} is not set in rule book {shown(book)}", accepted)
        for k, name in enumerate(names)
        if name not in changes
    ]
