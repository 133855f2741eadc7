"""What connections may take, and how many there may be: settings, cut to what the operating system gives this process."""

from __future__ import annotations

import logging
import resource
from dataclasses import dataclass

from service.settings import Settings

log = logging.getLogger("holdwright.server")
OTHER_FILES = 160
"""Files this process has open beside connections: up to 64 to the database, pipes to workers, libraries, files read."""
LINGERING = 32
"""Connections that were refused and are not closed yet: so many may read the refusal before they are cut off."""


@dataclass(frozen=True, slots=True)
class ConnectionLimits:
    """Limits on connections.

    Parameters
    ----------
    most : int
        Connections open at the same time.
    header_bytes : int
        Largest header, bytes.
    header_s, idle_s, stall_s : float
        Longest for a header to arrive, for nothing to be asked, for an answer not to be taken, seconds.
    """

    most: int
    header_bytes: int
    header_s: float
    idle_s: float
    stall_s: float

    @classmethod
    def of(cls, settings: Settings) -> ConnectionLimits:
        """Return the limits of the settings, no more connections than this process may have files open for."""
        room = _file_limit(settings.connections + OTHER_FILES + LINGERING) - OTHER_FILES - LINGERING
        most = min(settings.connections, max(1, room))
        if most < settings.connections:
            log.warning("%d connections at most, not %d: this process may not open more files", most, settings.connections)
        return cls(most, settings.header, settings.header_time, settings.idle_time, settings.body_pause)


def _file_limit(wanted: int) -> int:
    """Return how many files this process may have open, after asking for as many as are wanted."""
    soft, hard = resource.getrlimit(resource.RLIMIT_NOFILE)
    if soft == resource.RLIM_INFINITY:
        return wanted
    if soft < wanted:
        allowed = wanted if hard == resource.RLIM_INFINITY else min(wanted, hard)
        resource.setrlimit(resource.RLIMIT_NOFILE, (allowed, hard))
        soft = allowed
    return soft
