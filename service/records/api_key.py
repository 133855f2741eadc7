"""An API key as it is kept; the key itself is nowhere."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

from service.roles import KeyState, Role


@dataclass(frozen=True, slots=True)
class ApiKey:
    """By what a system or a person is known.

    Parameters
    ----------
    prefix : str
        The part of the key that may be shown, by which it is found and recognised.
    hash : str
        SHA-256 of the whole key, hexadecimal.
    made_by : str
        Name of the key, or of the person at the command line, that made it.
    expires_at, last_used_at, revoked_at : datetime or None
        None: never. `last_used_at` is right to about a minute.
    """

    id: str
    name: str
    role: Role
    prefix: str
    hash: str
    made_at: datetime
    made_by: str
    expires_at: datetime | None = None
    last_used_at: datetime | None = None
    revoked_at: datetime | None = None

    def state(self, at: datetime) -> KeyState:
        """Return whether it opens anything at a moment, or why it does not."""
        if self.revoked_at is not None:
            return "revoked"
        return "expired" if self.expires_at is not None and self.expires_at <= at else "live"
