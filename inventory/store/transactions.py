"""Transactions: one writer of stock at a time, the store's version, and what a database's complaints mean."""

from __future__ import annotations

import random
import time
from collections.abc import Callable
from typing import TypeVar

import sqlalchemy as sa
from sqlalchemy.exc import DataError, DBAPIError, InterfaceError, OperationalError
from sqlalchemy.exc import TimeoutError as PoolTimeout

from inventory.errors import Fault, InvalidDocument, StoreError
from inventory.store.engine import reading, still_there, writing
from inventory.store.errors import DiskFull, ReadOnlyStore, StoreBusy, StoreUnusable, Unreachable
from inventory.store.schema import store_state

Answer = TypeVar("Answer")
Connection = sa.Connection
"""What actions on the store are given; callers need not know whose it is."""
_LOOK_MS, _PAUSE_S = 20, 0.02
"""How long SQLite waits for a lock at a time, and the longest pause before it is asked again."""


class Transactions:
    """Reads that see one moment, writes that happen one after the other."""

    def __init__(self, engine: sa.Engine, patience_s: float) -> None:
        self.engine, self.patience_s = engine, patience_s
        self._reading, self._writing = reading(engine), writing(engine, _LOOK_MS)

    def read(self, action: Callable[[sa.Connection], Answer]) -> Answer:
        """Return what `action` reads, all of it from one moment."""
        return self._patiently(self._reading, action)

    def write(self, action: Callable[[sa.Connection], Answer]) -> Answer:
        """Return what `action` answers after all it wrote is on disk; if it raises, nothing was written.

        Raises FileGone if it was written to a file that is no longer the store's, and so is lost. May run `action` again after a
        lost lock, so it must do nothing outside the transaction.
        """

        def in_turn(connection: sa.Connection) -> Answer:
            take_turn(connection)
            return action(connection)

        return self.write_beside(in_turn)

    def write_beside(self, action: Callable[[sa.Connection], Answer]) -> Answer:
        """Write without waiting for a turn, for what no promise rests on; on SQLite there is only one writer anyway.

        On PostgreSQL others write at the same time and see nothing of it before it is done: `action` may change only rows that it
        holds (``UPDATE ... WHERE``, ``SELECT ... FOR UPDATE``). Should two of them lock each other out, one runs again.
        """
        found: list[Callable[[], None]] = []

        def noted(connection: sa.Connection) -> Answer:
            found[:] = [still_there(connection)]
            return action(connection)

        answer = self._patiently(self._writing, noted)
        for check in found:
            check()
        return answer

    def _patiently(self, engine: sa.Engine, action: Callable[[sa.Connection], Answer]) -> Answer:
        deadline = time.monotonic() + self.patience_s
        while True:
            try:
                with engine.begin() as connection:
                    return action(connection)
            except (DBAPIError, PoolTimeout) as error:
                meant = meaning(error)
                if not isinstance(meant, StoreBusy) or time.monotonic() >= deadline:
                    raise meant from error
            except UnicodeEncodeError as error:
                raise _unkept("half of a surrogate pair") from error
            time.sleep(random.uniform(0, _PAUSE_S))


def take_turn(connection: sa.Connection) -> None:
    """Wait until no other writer is at work; the turn ends with the transaction.

    SQLite's write lock is already taken by BEGIN IMMEDIATE. On PostgreSQL every writer locks the one row of `store_state`
    first and holds no other lock before it, so there is an order of all writes and no deadlock.
    """
    if connection.dialect.name == "postgresql":
        connection.execute(sa.select(store_state.c.id).with_for_update())


def bump(connection: sa.Connection) -> int:
    """Count one more change of stock, and return the new version."""
    changed = sa.update(store_state).values(stock_version=store_state.c.stock_version + 1).returning(store_state.c.stock_version)
    return int(connection.execute(changed).scalar_one())


def version(connection: sa.Connection) -> int:
    """Return how many changes of stock there have been, plus one."""
    return int(connection.execute(sa.select(store_state.c.stock_version)).scalar_one())


def _unkept(what: str) -> InvalidDocument:
    """Return the refusal of a value that no door stopped although the database cannot keep it."""
    return InvalidDocument([Fault("", f"a value that cannot be kept: {what}", "whole characters without NUL, numbers in range")])


def meaning(error: DBAPIError | PoolTimeout) -> Exception:
    """Return our own error for a database's complaint; a broken rule of the schema stays what it is, our bug."""
    if isinstance(error, PoolTimeout):
        return StoreBusy("too many callers wait for the store; nothing was changed")
    text = str(error.orig).strip()
    code = getattr(error.orig, "sqlite_errorname", None) or getattr(error.orig, "sqlstate", None) or ""
    for codes, kind, says in _COMPLAINTS:
        if code.startswith(codes):
            return kind(f"{says} ({text})")
    if isinstance(error, DataError):
        return _unkept(text.partition("\n")[0])
    if isinstance(error, OperationalError | InterfaceError):
        return Unreachable(f"the database does not answer ({text})")
    return error


# SQLite's names of result codes; SQLSTATE classes of PostgreSQL's manual, appendix "Error Codes".
_COMPLAINTS: tuple[tuple[tuple[str, ...], type[StoreError], str], ...] = (
    (
        ("SQLITE_BUSY", "SQLITE_LOCKED", "55P03", "40001", "40P01"),
        StoreBusy,
        "other writers held the store too long; nothing was changed",
    ),
    (("SQLITE_FULL", "53100"), DiskFull, "the disk is full; nothing of this change was kept"),
    (("SQLITE_READONLY", "SQLITE_CANTOPEN", "SQLITE_PERM", "25006", "42501"), ReadOnlyStore, "the store cannot be written"),
    (("SQLITE_IOERR_WRITE",), DiskFull, "the file cannot grow; nothing of this change was kept"),
    (("SQLITE_IOERR", "SQLITE_CORRUPT", "SQLITE_NOTADB"), StoreUnusable, "the store's file cannot be used"),
)
