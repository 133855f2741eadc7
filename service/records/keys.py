"""API keys in the database. A row is never removed: a store in which a key was ever made stays shut to those without one."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import asdict, dataclass
from datetime import datetime
from typing import Any

import sqlalchemy as sa

from inventory.errors import Fault, refuse
from inventory.store.engine import writing
from inventory.store.errors import AlreadyThere
from service.records.api_key import ApiKey
from service.records.database import Database
from service.records.schema import SERVICE, api_keys
from service.records.writes import Asked, note_write


@dataclass(frozen=True, slots=True)
class KeyRecords:
    """The table of API keys, one transaction an operation."""

    database: Database

    def create(self) -> KeyRecords:
        """Create the service's tables where they are missing, bring older ones up to date, and return the records."""
        SERVICE.bring_to(writing(self.database.engine))
        return self

    def add(self, key: ApiKey, asked: Asked) -> None:
        """Save a new key, with its line in the journal of writes; raises AlreadyThere if another one has its prefix."""

        def action(connection: sa.Connection) -> None:
            alike = sa.select(api_keys.c.id).where(api_keys.c.prefix == key.prefix)
            if connection.execute(alike).one_or_none() is not None:
                raise AlreadyThere("key", key.prefix)
            connection.execute(api_keys.insert().values(asdict(key)))
            note_write(connection, asked, 201)

        self.database.write(action)

    def any_made(self) -> bool:
        """Return whether a key was ever made here, whatever became of it."""
        return self.database.read(lambda c: c.execute(sa.select(api_keys.c.id).limit(1)).one_or_none()) is not None

    def by_prefix(self, prefix: str) -> ApiKey | None:
        """Return the key with this prefix, None if there is none."""
        return self._one(api_keys.c.prefix == prefix)

    def by_id(self, id: str) -> ApiKey | None:
        """Return the key of that id, None if there is none."""
        return self._one(api_keys.c.id == id)

    def listed(self, after: str, limit: int) -> list[ApiKey]:
        """Return keys from the oldest on, behind the one with the id `after`; raises InvalidDocument if there is none such."""
        query = sa.select(api_keys).order_by(api_keys.c.made_at, api_keys.c.id).limit(limit)
        if after:
            last = self.by_id(after)
            refuse([Fault("/cursor", "is no cursor of this list", "`next` of an earlier page")] if last is None else [])
            assert last is not None
            later = (api_keys.c.made_at == last.made_at) & (api_keys.c.id > last.id)
            query = query.where((api_keys.c.made_at > last.made_at) | later)
        return [read_key(row) for row in self.database.read(lambda c: c.execute(query).all())]

    def revoke(self, id: str, asked: Asked) -> ApiKey | None:
        """Let a key open nothing from now on, nor those who signed in by it; None if there is none such.

        One that was revoked before stays as it is.
        """

        def action(connection: sa.Connection) -> ApiKey | None:
            live = (api_keys.c.id == id) & api_keys.c.revoked_at.is_(None)
            if connection.execute(api_keys.update().where(live).values(revoked_at=asked.at)).rowcount:
                note_write(connection, asked, 200)
            row = connection.execute(sa.select(api_keys).where(api_keys.c.id == id)).one_or_none()
            return None if row is None else read_key(row)

        return self.database.write(action)

    def used(self, moments: Mapping[str, datetime]) -> None:
        """Write down when keys were last used, by their ids."""
        rows = [{"used": id, "at": at} for id, at in moments.items()]
        changed = api_keys.update().where(api_keys.c.id == sa.bindparam("used")).values(last_used_at=sa.bindparam("at"))
        self.database.write(lambda c: c.execute(changed, rows))

    def _one(self, where: sa.ColumnElement[bool]) -> ApiKey | None:
        row = self.database.read(lambda c: c.execute(sa.select(api_keys).where(where)).one_or_none())
        return None if row is None else read_key(row)


def read_key(row: Any) -> ApiKey:
    """Return a row of the table as a value."""
    return ApiKey(**{name: getattr(row, name) for name in ApiKey.__dataclass_fields__})
