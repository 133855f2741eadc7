"""How long jobs, keys, events, messages, measured times and the journal of writes are kept, and the sweep that removes them."""

from __future__ import annotations

import logging
from collections.abc import Callable
from datetime import datetime, timedelta

from service.background import Rounds
from service.records.database import Clock, Database, now
from service.records.retention import Cutoffs, counted, removed
from service.settings import Settings

log = logging.getLogger("holdwright.retention")
SWEEP_EVERY_S = 3600.0


def cutoffs(settings: Settings, at: datetime) -> Cutoffs:
    """Return until when things are removed at a moment; a setting of 0 days keeps them for ever."""

    def before(days: float) -> datetime | None:
        return at - timedelta(days=days) if days else None

    return Cutoffs(
        now=at,
        keys=at - timedelta(hours=settings.key_hours),
        jobs=before(settings.keep_jobs_days),
        events=before(settings.keep_events_days),
        deliveries=before(settings.keep_deliveries_days),
        writes=before(settings.keep_writes_days),
        measured=before(settings.keep_measured_days),
    )


def sweep(database: Database, settings: Settings, at: datetime, stopping: Callable[[], bool] = lambda: False) -> dict[str, int]:
    """Remove what has been kept long enough; return how many of each went."""
    gone = removed(database, cutoffs(settings, at), stopping)
    if any(gone.values()):
        log.info("swept: %s", ", ".join(f"{count} {what}" for what, count in gone.items() if count))
    return gone


def would_go(database: Database, settings: Settings, at: datetime) -> dict[str, int]:
    """Return how many of each a sweep would remove."""
    return counted(database, cutoffs(settings, at))


def sweeper_of(database: Database, settings: Settings, clock: Clock = now) -> Rounds:
    """Return the thread of a server that sweeps every hour; it stops between two transactions."""
    rounds: Rounds = Rounds("sweep", SWEEP_EVERY_S, lambda: sweep(database, settings, clock(), lambda: rounds.stopping))
    return rounds
