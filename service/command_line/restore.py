"""`holdwright restore`: a copy put back into an empty database."""

from __future__ import annotations

from pathlib import Path

from service.backup.backup import restore
from service.command_line.backup import show_copy
from service.settings import Settings


def restore_copy(file: Path, db: str | None, as_json: bool) -> None:
    """Put a copy back, checked from end to end, and say what was in it."""
    show_copy(restore(file, Settings.read(db=db).db), as_json)
