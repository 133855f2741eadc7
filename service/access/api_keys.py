"""Making API keys, revoking and listing them."""

from __future__ import annotations

import secrets
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta

from inventory.errors import Fault, refuse
from inventory.limits import name_faults
from inventory.store.errors import NotFound
from service.access.key_text import new_key
from service.records.api_key import ApiKey
from service.records.keys import KeyRecords
from service.records.writes import Asked
from service.roles import Role

LONGEST_LIFE = timedelta(days=3653)


@dataclass(frozen=True, slots=True)
class MadeKey:
    """A key that was just made; its text is shown now and never again."""

    text: str
    key: ApiKey


def make(records: KeyRecords, name: str, role: Role, expires_at: datetime | None, asked: Asked) -> MadeKey:
    """Make a key.

    Parameters
    ----------
    expires_at : datetime or None
        When it expires, within ten years; None: never.

    Raises
    ------
    InvalidDocument
        The name is empty or too long, or the day of expiry is none.
    AlreadyThere
        Another key has the prefix that was drawn, one in four thousand million; asking again draws another.
    """
    faults = list(name_faults("/name", name))
    if not name.strip():
        faults.append(Fault("/name", "is empty", "1 to 200 characters: who or what will use it"))
    if expires_at is not None and not asked.at < expires_at <= asked.at + LONGEST_LIFE:
        faults.append(Fault("/expires_at", f"{expires_at.isoformat()} is out of range", "from now to ten years ahead"))
    refuse(faults)
    ends = None if expires_at is None else expires_at.astimezone(UTC)
    text = new_key()
    key = ApiKey(secrets.token_hex(8), name, role, text.prefix, text.hash, asked.at, asked.name, ends)
    records.add(key, asked)
    return MadeKey(text.text, key)


def revoke(records: KeyRecords, id: str, asked: Asked) -> ApiKey:
    """Let a key open nothing any more; raises NotFound."""
    key = records.revoke(id, asked)
    if key is None:
        raise NotFound("key", repr(id)[:180])
    return key
