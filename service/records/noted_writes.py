"""The journal of writes as it is read back."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

import sqlalchemy as sa

from service.records.database import Database
from service.records.schema import api_keys, writes


@dataclass(frozen=True, slots=True)
class NotedWrite:
    """One line of the journal; `name` is the key's, None without a key."""

    id: int
    at: datetime
    key: str | None
    name: str | None
    operation: str
    address: str
    status: int
    request_id: str


@dataclass(frozen=True, slots=True)
class WantedWrites:
    """Which lines to look for; everything not named is left open. `since` is the earliest moment."""

    key: str | None = None
    operation: str | None = None
    since: datetime | None = None


@dataclass(frozen=True, slots=True)
class WriteRecords:
    """The journal as it is read."""

    database: Database

    def listed(self, wanted: WantedWrites, before: int | None, limit: int) -> list[NotedWrite]:
        """Return lines, newest first, before the line of that number."""
        columns = (writes.c.id, writes.c.at, writes.c.api_key, api_keys.c.name, writes.c.operation)
        query = sa.select(*columns, writes.c.address, writes.c.status, writes.c.request_id)
        query = query.outerjoin(api_keys, api_keys.c.id == writes.c.api_key)
        if wanted.key is not None:
            query = query.where(writes.c.api_key == wanted.key)
        if wanted.operation is not None:
            query = query.where(writes.c.operation == wanted.operation)
        if wanted.since is not None:
            query = query.where(writes.c.at >= wanted.since)
        if before is not None:
            query = query.where(writes.c.id < before)
        newest = query.order_by(writes.c.id.desc()).limit(limit)
        return [NotedWrite(*row) for row in self.database.read(lambda c: c.execute(newest).all())]
