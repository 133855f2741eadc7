"""`holdwright backup`: the database as one file, made while servers run."""

from __future__ import annotations

from pathlib import Path

from service.backup.backup import back_up
from service.backup.copy_file import CopySummary
from service.command_line.printing.console import print_json, print_table
from service.command_line.sources import existing_store


def make_backup(db: str | None, out: Path, as_json: bool) -> None:
    """Copy the database into a file and say what is in it."""
    show_copy(back_up(existing_store(db), out), as_json)


def show_copy(copy: CopySummary, as_json: bool) -> None:
    """Print what a copy holds."""
    if as_json:
        made = {"release": copy.release, "made_at": copy.made_at.isoformat(), "kind": copy.kind}
        print_json({**made, "rows": copy.rows, "sha256": copy.sha256})
        return
    print_table(["table", "rows"], [[name, rows] for name, rows in copy.rows.items()], "no tables")
    print(f"{sum(copy.rows.values())} rows as of {copy.made_at:%Y-%m-%d %H:%M:%S} UTC, sha256 {copy.sha256}")
