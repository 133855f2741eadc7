"""The commands of whoever runs the service, as they are declared: copies of the database, the doctor."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

StoreUrl = Annotated[
    str | None, typer.Option("--db", metavar="URL", help="The store [default: HOLDWRIGHT_DB, else sqlite:///holdwright.sqlite3].")
]
Json = Annotated[bool, typer.Option("--json", help="Print the result as JSON, and nothing else.")]


def backup(
    out: Annotated[
        Path, typer.Option("--out", "-o", metavar="FILE", help="Write the copy here; it is there whole or not at all.")
    ],
    db: StoreUrl = None,
    as_json: Json = False,
) -> None:
    """Copy the database into a file.

    Servers may run meanwhile: the copy is of one moment. It can be put back into SQLite and PostgreSQL alike.
    """
    from service.command_line.backup import make_backup
    from service.command_line.exit_code import run

    raise typer.Exit(run(lambda: make_backup(db, out, as_json), out))


def restore(
    file: Annotated[Path, typer.Argument(metavar="FILE", help="A copy made by `holdwright backup`.")],
    db: StoreUrl = None,
    as_json: Json = False,
) -> None:
    """Put a copy back into an empty database.

    All of it or nothing, whichever kind of database it was made from; a copy made by an older release is brought up to date.
    """
    from service.command_line.exit_code import run
    from service.command_line.restore import restore_copy

    raise typer.Exit(run(lambda: restore_copy(file, db, as_json), file))


def doctor(db: StoreUrl = None, as_json: Json = False) -> None:
    """Look at everything a server needs, and say what to do where something is wrong.

    Settings, releases, disks, folders, the database, its schema, its time, jobs that are stuck. Exit code 1 if anything is wrong.
    """
    from service.command_line.doctor import examine
    from service.command_line.exit_code import run

    raise typer.Exit(run(lambda: examine(db, as_json)))
