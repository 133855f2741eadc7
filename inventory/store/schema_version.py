"""Bring a database to this program's schema, or say why not."""

from __future__ import annotations

from pathlib import Path

import sqlalchemy as sa
from alembic import command
from alembic.config import Config
from alembic.script import ScriptDirectory

from inventory.store.errors import WrongSchema

VERSION_TABLE = "schema_version"
# Two programs that open an empty PostgreSQL database at once must not both create the tables; any number names the lock.
_ADVISORY_LOCK = 4_729_183_650_271


def known_revisions() -> tuple[str, ...]:
    """Return the schema's revisions this program knows, oldest first."""
    script = ScriptDirectory.from_config(_config(None))
    return tuple(reversed([revision.revision for revision in script.walk_revisions()]))


def revision_of(connection: sa.Connection) -> str | None:
    """Return the revision a database is at, None if it is empty; raises WrongSchema if it holds something else."""
    names = set(sa.inspect(connection).get_table_names())
    if VERSION_TABLE in names:
        revision = connection.execute(sa.text(f"SELECT version_num FROM {VERSION_TABLE}")).scalar_one_or_none()
        return None if revision is None else str(revision)
    if names:
        some = ", ".join(sorted(names)[:3])
        raise WrongSchema(f"the database holds other tables ({some}) and is no Holdwright store; name an empty one")
    return None


def bring_to(engine: sa.Engine, target: str = "head") -> None:
    """Move the schema, and every row in it, to a revision: all steps in one transaction.

    Raises
    ------
    WrongSchema
        The database is at a revision this program does not know, or is no store.
    """
    known = known_revisions()
    goal = known[-1] if target == "head" else target
    with engine.connect() as connection:
        if connection.dialect.name == "sqlite":
            # Rebuilding a table drops the old one, which must not count as removing the rows others refer to.
            connection.connection.cursor().execute("PRAGMA foreign_keys = OFF")
        try:
            with connection.begin():
                if connection.dialect.name == "postgresql":
                    connection.execute(sa.select(sa.func.pg_advisory_xact_lock(_ADVISORY_LOCK)))
                current = refuse_newer(revision_of(connection), known)
                if current != goal:
                    _move(connection, current, goal, known)
                    _refuse_orphans(connection)
        finally:
            if connection.dialect.name == "sqlite":
                connection.connection.cursor().execute("PRAGMA foreign_keys = ON")


def refuse_newer(revision: str | None, known: tuple[str, ...]) -> str | None:
    """Return the revision if this program knows it (or there is none); raises WrongSchema."""
    if revision is not None and revision not in known:
        raise WrongSchema(
            f"the store is at schema {revision}, written by a newer Holdwright; this one knows up to {known[-1]}: "
            "install the newer version, or open a copy from before it was upgraded"
        )
    return revision


def _move(connection: sa.Connection, current: str | None, goal: str, known: tuple[str, ...]) -> None:
    at = -1 if current is None else known.index(current)
    to = -1 if goal == "base" else known.index(goal)
    (command.upgrade if to >= at else command.downgrade)(_config(connection), goal)


def _refuse_orphans(connection: sa.Connection) -> None:
    if connection.dialect.name == "sqlite":
        orphans = connection.exec_driver_sql("PRAGMA foreign_key_check").fetchall()
        if orphans:
            raise WrongSchema(f"migrating would leave {len(orphans)} rows that refer to nothing, first in table {orphans[0][0]}")


def _config(connection: sa.Connection | None) -> Config:
    config = Config()
    config.set_main_option("script_location", str(Path(__file__).parent / "migrations").replace("%", "%%"))
    config.set_main_option("path_separator", "os")
    config.attributes["connection"] = connection
    return config
