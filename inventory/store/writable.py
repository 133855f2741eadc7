"""Whether a store can be written: asked when it is opened, without waiting for anybody's turn, and tried for good by a probe."""

from __future__ import annotations

import secrets
from contextlib import suppress
from datetime import UTC, datetime

import sqlalchemy as sa
from sqlalchemy.exc import DBAPIError

from inventory.store.engine import writing
from inventory.store.errors import ReadOnlyStore, StoreBusy
from inventory.store.schema import answered, metadata
from inventory.store.transactions import meaning

_NEEDED = ("SELECT", "INSERT", "UPDATE", "DELETE")


def refuse_read_only(engine: sa.Engine) -> None:
    """Raise ReadOnlyStore if the file, the database or its user may only be read."""
    if engine.dialect.name == "sqlite":
        _refuse_read_only_file(engine)
    else:
        _refuse_read_only_database(engine)


def _refuse_read_only_file(engine: sa.Engine) -> None:
    """Begin to write, and undo it: SQLite opens a file that cannot be written for reading and grants it the lock."""
    with suppress(StoreBusy):  # somebody writes: so it can be written
        try_to_write(engine, wait_ms=0)


def _refuse_read_only_database(engine: sa.Engine) -> None:
    with engine.connect() as connection, connection.begin():
        standby, reading = connection.execute(
            sa.select(sa.func.pg_is_in_recovery(), sa.func.current_setting("transaction_read_only"))
        ).one()
        if standby or reading == "on":
            why = "the server is a standby" if standby else "default_transaction_read_only is on for its user"
            raise ReadOnlyStore(f"the store cannot be written: {why}")
        allowed = [
            sa.func.has_table_privilege(sa.func.quote_ident(name), right).label(f"{name}.{right}")
            for name in sorted(metadata.tables)
            for right in _NEEDED
        ]
        row = connection.execute(sa.select(*allowed)).one()
        missing = [label.split(".") for label, granted in row._mapping.items() if not granted]
    if missing:
        name, right = missing[0]
        raise ReadOnlyStore(
            f"the store cannot be written: the database's user has no right to {right} on {name} ({len(missing)} rights missing)"
        )


def try_to_write(engine: sa.Engine, wait_ms: int | None = None) -> None:
    """Write, and take it back before it counts; raises whatever a write would raise."""
    try:
        with writing(engine, wait_ms).connect() as connection, connection.begin() as beginning:
            write_something(connection)
            beginning.rollback()
    except DBAPIError as error:
        raise meaning(error) from error


def write_something(connection: sa.Connection) -> None:
    """Write a row and take it away again: what a disk or a server that cannot be written refuses."""
    key = f"probe {secrets.token_hex(8)}"
    connection.execute(sa.insert(answered).values(key=key, fingerprint="", answer={}, at=datetime.now(UTC)))
    connection.execute(sa.delete(answered).where(answered.c.key == key))
