"""Engines: SQLite embedded by default, PostgreSQL by its URL; both with one writer of stock at a time.

SQLite runs in write-ahead mode with `synchronous` FULL (an acknowledged promise survives a power cut), foreign keys on,
and write transactions that begin IMMEDIATE: one that reads first and then wants to write could lose to another one and
fail half-way.
"""

from __future__ import annotations

import re
import sqlite3
import time
from collections.abc import Callable
from pathlib import Path
from typing import Any

import sqlalchemy as sa
from sqlalchemy.engine import make_url
from sqlalchemy.exc import ArgumentError, NoSuchModuleError

from inventory.store.disks import refuse_network_file_system
from inventory.store.errors import ReadOnlyStore, Unreachable
from inventory.store.store_file import StoreFile

_SECRET = re.compile("pass|secret|key|token", re.IGNORECASE)
_KINDS = "sqlite:///shop.sqlite3 or postgresql://user@host/database"
_LOG = "holdwright_log"
LOOK_AGAIN_S = 0.02
POOL = {"pool_size": 8, "max_overflow": 56, "pool_timeout": 60.0}


def make_engine(url: str, patience_s: float) -> sa.Engine:
    """Return an engine for a store's URL; nothing is created yet besides an empty SQLite file, which only its owner can read.

    Parameters
    ----------
    url : str
        ``sqlite:///relative/path``, ``sqlite:////absolute/path`` or ``postgresql://...``.
    patience_s : float
        How long one statement waits for another writer, seconds.

    Raises
    ------
    Unreachable
        Unknown kind of database, missing folder, missing driver.
    NetworkFileSystem, ReadOnlyStore
        The SQLite file lies where it cannot work.
    """
    try:
        parsed = make_url(url)
    except (ArgumentError, ValueError):
        raise Unreachable(f"{shown_url(url) or 'nothing'} is not a database URL; accepted: {_KINDS}") from None
    if "@" in (parsed.host or ""):  # what stands before it is taken for the host, and would be named
        raise Unreachable(f"{shown_url(url)} has a second @; in a user's name or password it is written as %40")
    kind = parsed.get_backend_name()
    if kind == "sqlite":
        return _sqlite(parsed, patience_s)
    if kind in ("postgresql", "postgres"):
        return _postgresql(parsed, patience_s)
    raise Unreachable(f"{kind} is no database a store can live in; accepted: {_KINDS}")


def shown_url(url: str) -> str:
    """Return a store's URL as it may be shown and logged: without a password, wherever in it one stands.

    Of what is no URL, nothing is shown that could be one's password.
    """
    try:
        parsed = make_url(url)
    except (ArgumentError, ValueError):
        return "what is given" if any(sign in url for sign in "@:=") else url
    host = None if parsed.host is None else parsed.host.rpartition("@")[2]
    query = {key: "hidden" if _SECRET.search(key) else value for key, value in parsed.query.items()}
    return parsed.set(host=host, query=query).render_as_string(hide_password=True)


def file_of(url: str) -> Path | None:
    """Return the file an SQLite URL names, None for every other URL."""
    try:
        parsed = make_url(url)
    except (ArgumentError, ValueError):
        return None
    return Path(parsed.database) if parsed.get_backend_name() == "sqlite" and parsed.database else None


def writing(engine: sa.Engine, wait_ms: int | None = None) -> sa.Engine:
    """Return the same engine for write transactions: on SQLite they take the write lock as they begin.

    `wait_ms`: how long SQLite itself waits for that lock (None: as long as the engine's patience). Left to itself it looks ten
    times a second at last, and whoever just came looks more often than whoever has waited; callers that try again do better.
    """
    return engine.execution_options(holdwright_begin="BEGIN IMMEDIATE", holdwright_wait_ms=wait_ms)


def reading(engine: sa.Engine) -> sa.Engine:
    """Return the same engine for reads that see one moment from their first statement to their last."""
    if engine.dialect.name == "sqlite":
        return engine
    return engine.execution_options(isolation_level="REPEATABLE READ", postgresql_readonly=True)


def _sqlite(url: sa.URL, patience_s: float) -> sa.Engine:
    if url.database in (None, "", ":memory:") or str(url.database).startswith("file:"):
        raise Unreachable("a store needs a file: what is kept in memory is forgotten; accepted: sqlite:///shop.sqlite3")
    path = Path(str(url.database)).absolute()
    if not path.parent.is_dir():
        raise Unreachable(f"there is no folder {path.parent} for the store {path.name}")
    if path.is_dir():
        raise Unreachable(f"{path} is a folder; a store is a file in one")
    refuse_network_file_system(path)
    file = StoreFile.at(path)
    address = url.set(drivername="sqlite", database=str(path), query={})
    engine = sa.create_engine(address, creator=lambda: file.connected(patience_s), **POOL)
    engine.update_execution_options(holdwright_file=file)

    @sa.event.listens_for(engine, "connect")
    def _prepare(connection: sqlite3.Connection, record: object) -> None:
        connection.isolation_level = None  # transactions begin when and how we say, not when the driver guesses
        cursor = connection.cursor()
        try:
            cursor.execute("PRAGMA foreign_keys = ON")
            cursor.execute("PRAGMA synchronous = FULL")
            mode = _write_ahead(cursor, patience_s)
        finally:
            cursor.close()
        if mode != "wal":
            raise ReadOnlyStore(f"{path} cannot be switched to write-ahead logging (it stays in mode {mode})")

    @sa.event.listens_for(engine, "begin")
    def _begin(connection: sa.Connection) -> None:
        file.refuse_if_gone()
        options = connection.get_execution_options()
        wait_ms = options.get("holdwright_wait_ms")
        connection.exec_driver_sql(f"PRAGMA busy_timeout = {int(patience_s * 1000) if wait_ms is None else wait_ms}")
        connection.exec_driver_sql(options.get("holdwright_begin", "BEGIN"))
        if "holdwright_begin" in options:
            connection.info.setdefault(_LOG, file.log_identity())

    return engine


def still_there(connection: sa.Connection) -> Callable[[], None]:
    """Return what raises FileGone, once a write is done, if it went to a file that is no longer where the store's is."""
    file, log = connection.get_execution_options().get("holdwright_file"), connection.info.get(_LOG)
    return (lambda: None) if file is None else lambda: file.refuse_if_gone(log)


def _write_ahead(cursor: sqlite3.Cursor, patience_s: float) -> str:
    """Switch a database to write-ahead logging and return the mode it is in; SQLite itself does not wait for others here."""
    end = time.monotonic() + patience_s
    while True:
        try:
            return str(cursor.execute("PRAGMA journal_mode = WAL").fetchone()[0])
        except sqlite3.OperationalError as error:
            if error.sqlite_errorcode != sqlite3.SQLITE_BUSY or time.monotonic() > end:
                raise
            time.sleep(LOOK_AGAIN_S)


def _postgresql(url: sa.URL, patience_s: float) -> sa.Engine:
    milliseconds = max(1, int(patience_s * 1000))
    settings: dict[str, Any] = {"options": f"-c lock_timeout={milliseconds} -c timezone=UTC", "connect_timeout": 10}
    try:
        return sa.create_engine(url.set(drivername="postgresql+psycopg"), connect_args=settings, pool_pre_ping=True, **POOL)
    except (ModuleNotFoundError, NoSuchModuleError) as error:
        raise Unreachable("PostgreSQL needs the extra `postgres`: pip install 'holdwright[postgres]'") from error
