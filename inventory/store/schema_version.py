"""Bring the tables of a database to this program's schema, or say why not."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path

import sqlalchemy as sa
from alembic import command
from alembic.config import Config
from alembic.script import ScriptDirectory
from sqlalchemy.exc import DBAPIError

from inventory.store.errors import WrongSchema
from inventory.store.schema import metadata
from inventory.store.transactions import meaning


@dataclass(frozen=True, slots=True)
class SchemaHistory:
    """The steps a set of tables went through, and the table that says which step a database is at.

    Parameters
    ----------
    steps : Path
        The folder with a file for each step.
    version_table : str
        Where a database keeps its step.
    tables : MetaData
        The tables as they are after the last step.
    lock : int
        Names the lock by which two programs that open an empty PostgreSQL database at once do not both create tables; any number.
    alone : bool
        Whether tables of others in a database without a `version_table` mean that it belongs to somebody else.
    """

    steps: Path
    version_table: str
    tables: sa.MetaData
    lock: int
    alone: bool = True

    def known(self) -> tuple[str, ...]:
        """Return the revisions this program knows, oldest first."""
        script = ScriptDirectory.from_config(self._config(None))
        return tuple(reversed([revision.revision for revision in script.walk_revisions()]))

    def revision_of(self, connection: sa.Connection) -> str | None:
        """Return the revision a database is at, None if it is empty; raises WrongSchema if it holds something else."""
        names = set(sa.inspect(connection).get_table_names())
        if self.version_table in names:
            revision = connection.execute(sa.text(f"SELECT version_num FROM {self.version_table}")).scalar_one_or_none()
            return None if revision is None else str(revision)
        if names and self.alone:
            some = ", ".join(sorted(names)[:3])
            raise WrongSchema(f"the database holds other tables ({some}) and is no Holdwright store; name an empty one")
        return None

    def current(self, connection: sa.Connection) -> str | None:
        """Return the revision if this program knows it, None if there is none yet; raises WrongSchema."""
        revision, known = self.revision_of(connection), self.known()
        if revision is not None and revision not in known:
            raise WrongSchema(
                f"the store is at schema {revision}, written by a newer Holdwright; this one knows up to {known[-1]}: "
                "install the newer version, or open a copy from before it was upgraded"
            )
        return revision

    def bring_to(self, engine: sa.Engine, target: str = "head") -> None:
        """Move the schema, and every row in it, to a revision: all steps in one transaction.

        Raises
        ------
        WrongSchema
            The database is at a revision this program does not know, or is no store.
        ReadOnlyStore, DiskFull, StoreBusy, Unreachable
        """
        try:
            with tables_may_change(engine) as connection:
                self.bring(connection, target)
        except DBAPIError as error:
            raise meaning(error) from error

    def bring(self, connection: sa.Connection, target: str = "head") -> None:
        """Do so within a transaction of `tables_may_change`."""
        known = self.known()
        goal = known[-1] if target == "head" else target
        if connection.dialect.name == "postgresql":
            connection.execute(sa.select(sa.func.pg_advisory_xact_lock(self.lock)))
        current = self.current(connection)
        if current != goal:
            self._move(connection, current, goal, known)
            _refuse_orphans(connection)

    def _move(self, connection: sa.Connection, current: str | None, goal: str, known: tuple[str, ...]) -> None:
        at = -1 if current is None else known.index(current)
        to = -1 if goal == "base" else known.index(goal)
        (command.upgrade if to >= at else command.downgrade)(self._config(connection), goal)

    def _config(self, connection: sa.Connection | None) -> Config:
        config = Config()
        config.set_main_option("script_location", _escaped(Path(__file__).parent / "migrations"))
        config.set_main_option("version_locations", _escaped(self.steps))
        config.set_main_option("path_separator", "os")
        config.attributes |= {"connection": connection, "tables": self.tables, "version_table": self.version_table}
        return config


@contextmanager
def tables_may_change(engine: sa.Engine) -> Iterator[sa.Connection]:
    """Open one transaction in which tables are made, rebuilt and filled; rows may refer to what comes later in it."""
    with engine.connect() as connection:
        if connection.dialect.name == "sqlite":
            # Rebuilding a table drops the old one, which must not count as removing the rows others refer to.
            connection.connection.cursor().execute("PRAGMA foreign_keys = OFF")
        try:
            with connection.begin():
                yield connection
        finally:
            if connection.dialect.name == "sqlite":
                connection.connection.cursor().execute("PRAGMA foreign_keys = ON")


SHELF = SchemaHistory(Path(__file__).parent / "migrations" / "versions", "schema_version", metadata, 4_729_183_650_271)
"""The tables of this package."""


def _refuse_orphans(connection: sa.Connection) -> None:
    if connection.dialect.name == "sqlite":
        orphans = connection.exec_driver_sql("PRAGMA foreign_key_check").fetchall()
        if orphans:
            raise WrongSchema(f"migrating would leave {len(orphans)} rows that refer to nothing, first in table {orphans[0][0]}")


def _escaped(path: Path) -> str:
    return str(path).replace("%", "%%")
