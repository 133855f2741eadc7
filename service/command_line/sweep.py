"""`holdwright sweep`: remove what has been kept long enough, or say what would go."""

from __future__ import annotations

from datetime import UTC, datetime

from service.command_line.printing.console import DONE, print_json, print_table
from service.command_line.sources import the_store
from service.records.jobs import JobRecords
from service.retention import sweep, would_go
from service.settings import Settings


def sweep_store(db: str | None, dry_run: bool, as_json: bool) -> int:
    """Sweep a store once, by the settings of the environment; with `dry_run` nothing is removed."""
    settings, at = Settings.read(db=db), datetime.now(UTC)
    with the_store(db) as store:
        JobRecords(store, "", settings.lease, settings.key_hours).create()
        counts = (would_go if dry_run else sweep)(store, settings, at)
    if as_json:
        print_json(counts)
        return DONE
    print_table(["what", "would go" if dry_run else "gone"], [[what, count] for what, count in counts.items()], "nothing")
    return DONE
