"""What `holdwright keys` does: the first key comes from here, since a server makes keys only for an admin's key."""

from __future__ import annotations

import getpass
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import asdict
from datetime import UTC, datetime, timedelta
from typing import Any, cast

from inventory.errors import refuse
from inventory.limits import one_of_faults
from service.access.api_keys import make, revoke
from service.command_line.printing.console import note, print_json, print_table
from service.command_line.sources import the_store
from service.records.api_key import ApiKey
from service.records.keys import KeyRecords
from service.records.writes import Asked
from service.roles import ROLES, Role
from service.text_table import Column

_MOST_LISTED = 100_000


def make_key(name: str, role: str, days: int | None, db: str | None, as_json: bool) -> None:
    """Make a key; it alone is printed on standard output."""
    refuse(one_of_faults("/role", role, ROLES))
    asked = _asked("make_key", "keys make")
    expires_at = None if days is None else asked.at + timedelta(days=days)
    with _keys(db, create=True) as records:
        made = make(records, name, cast(Role, role), expires_at, asked)
    if as_json:
        print_json({**_document(made.key, asked.at), "key": made.text})
        return
    print(made.text)
    note("this is the only time the key is shown; send it as `Authorization: Bearer KEY`")


def list_keys(db: str | None, as_json: bool) -> None:
    """Print every key, oldest first."""
    at = datetime.now(UTC)
    with _keys(db) as records:
        found = records.listed("", _MOST_LISTED)
    if as_json:
        print_json([_document(key, at) for key in found])
        return
    names = ("id", "name", "role", "begins", "state", "expires", "last used")
    rows = [[k.id, k.name, k.role, k.prefix, k.state(at), _day(k.expires_at), _minute(k.last_used_at)] for k in found]
    print_table([Column(name) for name in names], rows, "no keys: the server answers this machine alone")


def revoke_key(id: str, db: str | None, as_json: bool) -> None:
    """Revoke the key of an id or a prefix."""
    asked = _asked("revoke_key", "keys revoke")
    with _keys(db) as records:
        there = records.by_prefix(id)
        key = revoke(records, id if there is None else there.id, asked)
    if as_json:
        print_json(_document(key, asked.at))
        return
    note(f"{key.name} ({key.prefix}) opens nothing any more")


@contextmanager
def _keys(db: str | None, create: bool = False) -> Iterator[KeyRecords]:
    with the_store(db, create) as store:
        yield KeyRecords(store).create()


def _asked(operation: str, command: str) -> Asked:
    try:
        name = getpass.getuser()
    except (OSError, KeyError):
        name = "command line"
    return Asked(None, name, operation, f"holdwright {command}", datetime.now(UTC))


def _document(key: ApiKey, at: datetime) -> dict[str, Any]:
    moments = ("made_at", "expires_at", "last_used_at", "revoked_at")
    plain = {name: value for name, value in asdict(key).items() if name != "hash"}
    return {**plain, **{name: _text(plain[name]) for name in moments}, "state": key.state(at)}


def _text(at: datetime | None) -> str | None:
    return None if at is None else at.isoformat().replace("+00:00", "Z")


def _day(at: datetime | None) -> str:
    return "never" if at is None else at.date().isoformat()


def _minute(at: datetime | None) -> str:
    return "never" if at is None else f"{at:%Y-%m-%d %H:%M} UTC"
