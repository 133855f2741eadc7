"""What the store refuses, and why; `inventory.errors` draws the tree these stand in."""

from __future__ import annotations

from inventory.errors import Conflict, StoreError
from inventory.limits import NAME_LENGTH, shown, unprintable


class StoreUnusable(StoreError):
    """The store cannot be opened or written at all."""


class NetworkFileSystem(StoreUnusable):
    """The file lies on a network file system, where write-ahead logging does not work."""


class ReadOnlyStore(StoreUnusable):
    """The disk or the file cannot be written."""


class FileGone(StoreUnusable):
    """The file was deleted, moved or replaced while the store was open; nothing is written to what is left of it."""


class DiskFull(StoreUnusable):
    """The disk is full; nothing of the change was kept."""


class WrongSchema(StoreUnusable):
    """The database was written by a newer program, or is not a Holdwright store."""


class NotEmpty(StoreUnusable):
    """A copy is put back into an empty database only, and this one holds something."""


class WrongCopy(StoreError):
    """A file is no copy of a store, or not a whole one, or one of a newer program; nothing was put back."""


class Unreachable(StoreUnusable):
    """There is no such server, folder or driver."""


class StoreBusy(StoreError):
    """Other writers held the store longer than the patience it was opened with; nothing was changed."""


class NotFound(StoreError):
    """There is no such thing in the store."""

    def __init__(self, kind: str, name: object) -> None:
        self.kind, self.name = kind, name
        super().__init__(f"there is no {kind} {name}")


def known_as(kind: str, name: str) -> None:
    """Raise NotFound for a name that nothing can have: with control characters, or longer than names are.

    PostgreSQL takes no NUL and SQLite no half surrogate pair; asked for one, they complain instead of finding nothing.
    """
    if len(name) > NAME_LENGTH or unprintable(name) is not None:
        raise NotFound(kind, shown(name))


class AlreadyThere(Conflict):
    """A thing of that name exists already."""

    def __init__(self, kind: str, name: object) -> None:
        self.kind, self.name = kind, name
        super().__init__(f"{kind} {name} exists already")


class InUse(Conflict):
    """The thing cannot go while others depend on it."""


class Stale(Conflict):
    """Somebody else changed it since it was read."""

    def __init__(self, kind: str, name: object, expected: int, actual: int) -> None:
        self.kind, self.name, self.expected, self.actual = kind, name, expected, actual
        super().__init__(f"{kind} {name} is at version {actual}, not {expected}: it was changed meanwhile; read it again")


class KeyReused(StoreError):
    """One idempotency key came with two different writes."""

    def __init__(self, key: str) -> None:
        self.key = key
        super().__init__(f"idempotency key {key!r} was used for a different write before; use a new key")


class CountRefused(Conflict):
    """A count that cannot be true: fewer than none, more out of service than there are."""
