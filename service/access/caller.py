"""Who is asking."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from typing import Literal

from service.records.api_key import ApiKey
from service.roles import Role

Way = Literal["key", "sign-in", "machine"]


@dataclass(frozen=True, slots=True)
class Caller:
    """Who is asking, and what it may do.

    Parameters
    ----------
    key : str or None
        Id of its API key; None on a machine where no key was ever made.
    name : str
        The key's name, which signs for its writes.
    role : str
        What it may do; `rights` has the table.
    way : str
        ``key``: it sends its key with every request; ``sign-in``: a browser signed in by a key and sends a cookie;
        ``machine``: it is on this machine, and no key was ever made.
    expires_at : datetime or None
        When its key or its sign-in expires, whichever comes first; None: never.
    """

    key: str | None
    name: str
    role: Role
    way: Way = "key"
    expires_at: datetime | None = None

    @property
    def unasked(self) -> bool:
        """Whether a browser would let any page of the web ask in its name: nothing secret has to be known for it."""
        return self.way != "key"

    @property
    def signs_as(self) -> str | None:
        """The key's name under a change, None without a key."""
        return None if self.key is None else self.name


THIS_MACHINE = Caller(None, "this machine", "admin", "machine")
"""Whoever is on this machine, as long as no key was ever made."""


def caller_by(key: ApiKey, way: Way, expires_at: datetime | None) -> Caller:
    """Return who asks by a key, itself or through a sign-in, and until when it may."""
    return Caller(key.id, key.name, key.role, way, expires_at)
