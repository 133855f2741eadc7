"""Make a copy of the database, and put one back."""

from __future__ import annotations

from pathlib import Path

from inventory.errors import Fault, InvalidDocument
from inventory.store.copies import CopiedDatabase, copied, put_back
from inventory.store.errors import WrongCopy
from inventory.store.schema_version import SHELF
from service.backup.copy_file import CopyReader, CopySummary, write_copy
from service.errors import InvalidSource
from service.files import written_whole
from service.records.schema import SERVICE

HISTORIES = (SHELF, SERVICE)
PATIENCE_S = 60.0
PRIVATE = 0o600
"""A copy holds the secrets that webhooks are signed with, and what all keys are recognised by."""


def back_up(url: str, path: Path) -> CopySummary:
    """Copy a database as it is at one moment into a file that is there whole or not at all.

    Raises
    ------
    InvalidSource
        The file cannot be written.
    StoreError
        The database cannot be read.
    """
    made: list[CopySummary] = []
    try:
        with written_whole(path, PRIVATE) as file:
            copied(url, HISTORIES, PATIENCE_S, lambda database: made.append(write_copy(file, database)))
    except OSError as error:
        raise _unusable(path, f"cannot be written: {error.strerror or error}", "a file in a folder with room") from None
    return made[0]


def restore(path: Path, url: str) -> CopySummary:
    """Put a copy back into an empty database, all of it or nothing.

    Raises
    ------
    WrongCopy
        The file is no copy, is cut short, was changed, or is of a newer program.
    NotEmpty
        The database is not empty.
    InvalidSource
        The file cannot be read.
    """
    try:
        with path.open("rb") as file:
            reader = CopyReader(file)
            database: CopiedDatabase = reader.database()
            put_back(url, HISTORIES, PATIENCE_S, database)
    except OSError as error:
        raise _unusable(path, f"cannot be read: {error.strerror or error}", "a copy made by `holdwright backup`") from None
    if reader.summary is None:
        raise WrongCopy("the copy was not read to its end")
    return reader.summary


def _unusable(path: Path, wrong: str, accepted: str) -> InvalidDocument:
    return InvalidSource(path, [Fault("", wrong, accepted)])
