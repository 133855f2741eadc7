"""A look at a database that changes nothing: whether it answers, is whole, and what time it has."""

from __future__ import annotations

import sqlite3
from collections.abc import Iterator
from contextlib import contextmanager
from datetime import UTC, datetime
from pathlib import Path

import sqlalchemy as sa
from sqlalchemy.exc import DBAPIError

from inventory.store.disks import MOUNTS, file_system
from inventory.store.engine import file_of, make_engine
from inventory.store.errors import StoreUnusable, Unreachable
from inventory.store.transactions import meaning

Engine = sa.Engine
"""What a database that is looked at is handed around as; callers need not know whose it is."""


@contextmanager
def looked_at(url: str, patience_s: float) -> Iterator[sa.Engine]:
    """Open a database as it is: it is neither made nor brought up to date.

    Raises
    ------
    StoreUnusable
        There is none, or it does not answer.
    """
    file = file_of(url)
    if file is not None and not file.exists():
        raise Unreachable(f"there is no file {file}")
    engine = make_engine(url, patience_s)
    try:
        yield engine
    except DBAPIError as error:
        raise meaning(error) from error
    finally:
        engine.dispose()


def program_version(connection: sa.Connection) -> str:
    """Return which program keeps the database, in which version."""
    if connection.dialect.name == "sqlite":
        return f"SQLite {sqlite3.sqlite_version}"
    return f"PostgreSQL {connection.execute(sa.text('SHOW server_version')).scalar_one()}"


def time_there(connection: sa.Connection) -> datetime | None:
    """Return the time by the database's own clock, None where it has none but this machine's."""
    if connection.dialect.name == "sqlite":
        return None
    there: datetime = connection.execute(sa.text("SELECT clock_timestamp()")).scalar_one()
    return there.astimezone(UTC)


def refuse_damaged(connection: sa.Connection) -> None:
    """Raise StoreUnusable if an SQLite file is damaged; PostgreSQL finds damage by itself."""
    if connection.dialect.name == "sqlite":
        found = connection.exec_driver_sql("PRAGMA quick_check(1)").scalar_one()
        if found != "ok":
            raise StoreUnusable(f"the file is damaged: {found}")


def disk_kind(path: Path) -> str:
    """Return the type of the file system a path lies on, ``unknown`` where the system does not say."""
    if not MOUNTS.exists():
        return "unknown"
    return file_system(path.resolve(), MOUNTS.read_text(encoding="utf-8", errors="surrogateescape")) or "unknown"
