"""Browsers that have signed in by a key: the hash of each one's cookie, until it expires or signs out."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

import sqlalchemy as sa

from service.records.api_key import ApiKey
from service.records.database import Database
from service.records.keys import read_key
from service.records.schema import api_keys, sign_ins
from service.records.writes import Asked, note_write


@dataclass(frozen=True, slots=True)
class KeptSignIn:
    """A sign-in that has not expired: by which key, which may be live or not, and until when."""

    key: ApiKey
    expires_at: datetime


@dataclass(frozen=True, slots=True)
class SignInRecords:
    """The table of sign-ins, one transaction an operation."""

    database: Database

    def add(self, hash: str, expires_at: datetime, asked: Asked) -> None:
        """Save a sign-in by the key that asks, and forget those that have expired."""

        def action(connection: sa.Connection) -> None:
            connection.execute(sign_ins.delete().where(sign_ins.c.expires_at <= asked.at))
            values = {"hash": hash, "api_key": asked.key, "made_at": asked.at, "expires_at": expires_at}
            connection.execute(sign_ins.insert().values(values))
            note_write(connection, asked, 200)

        self.database.write(action)

    def by_hash(self, hash: str, at: datetime) -> KeptSignIn | None:
        """Return a sign-in by its token's hash, None if there is none or it has expired."""
        joined = sa.select(api_keys, sign_ins.c.expires_at.label("ends")).join(sign_ins, sign_ins.c.api_key == api_keys.c.id)
        wanted = joined.where(sign_ins.c.hash == hash, sign_ins.c.expires_at > at)
        row = self.database.read(lambda c: c.execute(wanted).one_or_none())
        return None if row is None else KeptSignIn(read_key(row), row.ends)

    def remove(self, hash: str, asked: Asked) -> None:
        """Forget a sign-in; does nothing if there is none such."""

        def action(connection: sa.Connection) -> None:
            if connection.execute(sign_ins.delete().where(sign_ins.c.hash == hash)).rowcount:
                note_write(connection, asked, 204)

        self.database.write(action)
