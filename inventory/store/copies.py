"""Copies of a database, for either kind of database: rows as plain JSON values, read at one moment, put back as they were.

Tables are taken as the database itself describes them, so that one at an older schema is copied, and put back, as it is.
"""

from __future__ import annotations

import os
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import UTC, date, datetime
from pathlib import Path
from typing import Any

import sqlalchemy as sa
from sqlalchemy.exc import DBAPIError

from inventory.store.engine import file_of, make_engine, reading, writing
from inventory.store.errors import NotEmpty, ReadOnlyStore, Unreachable, WrongCopy, WrongSchema
from inventory.store.schema import Moment
from inventory.store.schema_version import SchemaHistory, tables_may_change
from inventory.store.transactions import meaning

_AT_A_TIME = 500
Row = list[Any]


@dataclass(frozen=True, slots=True)
class CopiedTable:
    """A table in a copy.

    Parameters
    ----------
    columns : tuple of str
        Names, in the order of each row's values.
    counter : int or None
        The number its last new row got, gone or not; None where rows are not numbered.
    rows : iterable
        Its rows as plain JSON values.
    """

    name: str
    columns: tuple[str, ...]
    counter: int | None
    rows: Iterable[Row]


@dataclass(frozen=True, slots=True)
class CopiedDatabase:
    """A database at one moment: its kind, the revision of each history, its tables, those first to which others refer."""

    kind: str
    revisions: Mapping[str, str]
    tables: Iterable[CopiedTable]


def copied(url: str, histories: Sequence[SchemaHistory], patience_s: float, use: Callable[[CopiedDatabase], None]) -> None:
    """Have a database used while it is read at one moment, whoever writes meanwhile.

    Raises
    ------
    StoreUnusable
        It cannot be opened; WrongSchema if it is no store, or a newer one.
    """
    file = file_of(url)
    if file is not None and not file.exists():
        raise Unreachable(f"there is no file {file}")
    engine = make_engine(url, patience_s)
    try:
        with reading(engine).connect() as connection, connection.begin():
            revisions = {}
            for history in histories:
                revision = history.current(connection)
                if revision is None and history.alone:
                    raise WrongSchema("the database is empty: there is nothing to copy")
                if revision is not None:
                    revisions[history.version_table] = revision
            tables = _tables(connection, histories)
            use(CopiedDatabase(connection.dialect.name, revisions, (_copied_table(connection, table) for table in tables)))
    except DBAPIError as error:
        raise meaning(error) from error
    finally:
        engine.dispose()


def put_back(url: str, histories: Sequence[SchemaHistory], patience_s: float, copy: CopiedDatabase) -> dict[str, int]:
    """Fill an empty database from a copy, in one transaction, bring it up to date, and return the rows of each table.

    Raises
    ------
    NotEmpty
        The database holds tables already.
    WrongCopy
        The copy is of a newer program, or does not fit its own tables.
    """
    made, whole, engine = _made(file_of(url)), False, None
    try:
        engine = make_engine(url, patience_s)
        with tables_may_change(writing(engine)) as connection:
            _refuse_if_filled(connection, histories)
            for history in histories:
                revision = copy.revisions.get(history.version_table)
                if revision is None and not history.alone:
                    continue  # nobody had opened the database with these tables yet
                known = history.known()
                if revision not in known:
                    words = f"the copy is at schema {revision}, this program knows up to {known[-1]}"
                    raise WrongCopy(f"{words}: install the newer version")
                history.bring(connection, revision)
            tables = {table.name: table for table in _tables(connection, histories)}
            for table in reversed(tables.values()):
                connection.execute(table.delete())
            counts = {each.name: _fill(connection, tables, each) for each in copy.tables}
            for name, count in counts.items():
                there = connection.execute(sa.select(sa.func.count()).select_from(tables[name])).scalar_one()
                if there != count:
                    raise WrongCopy(f"table {name} has {there} rows after {count} were put back")
            for history in histories:
                history.bring(connection)
            _refuse_orphans(connection)
        whole = True
        return counts
    except DBAPIError as error:
        raise meaning(error) from error
    finally:
        if engine is not None:
            engine.dispose()
        if made is not None and not whole:
            for ending in ("", "-wal", "-shm"):
                Path(f"{made}{ending}").unlink(missing_ok=True)


def _made(file: Path | None) -> Path | None:
    """Make an SQLite database's file, for its owner alone; return it if it was not there."""
    if file is None:
        return None
    try:
        os.close(os.open(file, os.O_CREAT | os.O_EXCL | os.O_WRONLY, 0o600))
    except FileExistsError:
        return None
    except OSError as error:
        raise ReadOnlyStore(f"{file} cannot be made: {error.strerror}") from error
    return file


def _refuse_orphans(connection: sa.Connection) -> None:
    """Look at what PostgreSQL looks at with every row: whether what rows refer to is there."""
    if connection.dialect.name == "sqlite":
        orphans = connection.exec_driver_sql("PRAGMA foreign_key_check").fetchall()
        if orphans:
            raise WrongCopy(f"{len(orphans)} rows of the copy refer to nothing, first in table {orphans[0][0]}")


def _refuse_if_filled(connection: sa.Connection, histories: Sequence[SchemaHistory]) -> None:
    versions = {history.version_table for history in histories}
    names = set(sa.inspect(connection).get_table_names()) - versions
    if names:
        some = ", ".join(sorted(names)[:3])
        raise NotEmpty(f"the database holds tables already ({some}); a copy is put back into an empty one only")


def _tables(connection: sa.Connection, histories: Sequence[SchemaHistory]) -> list[sa.Table]:
    """Return our tables as they are in the database, those first to which others refer."""
    ours = {name for history in histories for name in history.tables.tables}
    there = sa.MetaData()
    there.reflect(connection, only=lambda name, _: name in ours)
    for table in there.tables.values():
        for column in table.columns:
            if isinstance(column.type, sa.DateTime):
                column.type = Moment()
            elif isinstance(column.type, sa.JSON):
                column.type = sa.JSON(none_as_null=bool(column.nullable))
    return there.sorted_tables


def _copied_table(connection: sa.Connection, table: sa.Table) -> CopiedTable:
    in_order = sa.select(table).order_by(*table.primary_key.columns)
    rows = connection.execute(in_order, execution_options={"yield_per": _AT_A_TIME})
    plain = ([_plain(value) for value in row] for row in rows)
    return CopiedTable(table.name, tuple(column.name for column in table.columns), _counter(connection, table), plain)


def _plain(value: Any) -> Any:
    if isinstance(value, datetime):
        return value.astimezone(UTC).isoformat()
    return value.isoformat() if isinstance(value, date) else value


def _fill(connection: sa.Connection, tables: Mapping[str, sa.Table], copy: CopiedTable) -> int:
    """Put the rows of one table back and return how many there are."""
    table = tables.get(copy.name)
    if table is None or {column.name for column in table.columns} != set(copy.columns):
        raise WrongCopy(f"the copy has a table {copy.name[:100]!r} that does not go with its schema")
    read = [_reader(table.columns[name].type) for name in copy.columns]
    filled = 0
    for rows in _batches(copy.rows):
        try:
            values = [dict(zip(copy.columns, (r(v) for r, v in zip(read, row, strict=True)), strict=True)) for row in rows]
            connection.execute(table.insert(), values)
        except (DBAPIError, ValueError, TypeError) as error:
            why = str(error.orig if isinstance(error, DBAPIError) else error).strip().splitlines()[0]
            raise WrongCopy(
                f"rows {filled + 1} to {filled + len(rows)} of table {copy.name} cannot be put back: {why}"
            ) from error
        filled += len(rows)
    if copy.counter is not None:
        _set_counter(connection, table, copy.counter)
    return filled


def _reader(type: sa.types.TypeEngine[Any]) -> Callable[[Any], Any]:
    if isinstance(type, Moment):
        return lambda value: None if value is None else datetime.fromisoformat(value)
    if isinstance(type, sa.Date):
        return lambda value: None if value is None else date.fromisoformat(value)
    return lambda value: value


def _batches(rows: Iterable[Row]) -> Iterator[list[Row]]:
    batch: list[Row] = []
    for row in rows:
        batch.append(row)
        if len(batch) == _AT_A_TIME:
            yield batch
            batch = []
    if batch:
        yield batch


def _numbered(table: sa.Table) -> str | None:
    """Return the column by which a table's rows are numbered, None if they are not."""
    keys = list(table.primary_key.columns)
    whole = len(keys) == 1 and isinstance(keys[0].type, sa.Integer)
    return keys[0].name if whole else None


def _counter(connection: sa.Connection, table: sa.Table) -> int | None:
    column = _numbered(table)
    if column is None:
        return None
    if connection.dialect.name == "sqlite":
        found = connection.execute(sa.text("SELECT seq FROM sqlite_sequence WHERE name = :name"), {"name": table.name})
        return found.scalar_one_or_none()
    sequence = _sequence(connection, table, column)
    if sequence is None:
        return None
    last, used = connection.execute(sa.text(f"SELECT last_value, is_called FROM {sequence}")).one()
    return int(last) if used else None


def _set_counter(connection: sa.Connection, table: sa.Table, counter: int) -> None:
    column = _numbered(table)
    if column is None:
        raise WrongCopy(f"the copy numbers the rows of table {table.name}, which are not numbered")
    if connection.dialect.name == "sqlite":
        connection.execute(sa.text("DELETE FROM sqlite_sequence WHERE name = :name"), {"name": table.name})
        connection.execute(
            sa.text("INSERT INTO sqlite_sequence (name, seq) VALUES (:name, :seq)"), {"name": table.name, "seq": counter}
        )
        return
    sequence = _sequence(connection, table, column)
    if sequence is not None:
        connection.execute(
            sa.text("SELECT setval(CAST(:sequence AS regclass), :counter)"), {"sequence": sequence, "counter": counter}
        )


def _sequence(connection: sa.Connection, table: sa.Table, column: str) -> str | None:
    asked = sa.select(sa.func.pg_get_serial_sequence(table.name, column))
    found = connection.execute(asked).scalar_one()
    return None if found is None else str(found)
