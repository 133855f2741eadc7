"""Writes that happen once: the answer is kept with the write, in its own transaction."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Any

import sqlalchemy as sa

from inventory.store.errors import KeyReused
from inventory.store.schema import answered


@dataclass(frozen=True, slots=True)
class Once:
    """An idempotency key and the fingerprint of the write it stands for.

    `at` is when it was asked; an answer kept for longer than `lifetime` by then is forgotten, and the key is new again.
    """

    key: str
    fingerprint: str
    at: datetime
    lifetime: timedelta = timedelta(days=36_500)


@dataclass(frozen=True, slots=True)
class Answered:
    """What a write answered, as plain JSON values, and whether this is the answer to an earlier call."""

    answer: dict[str, Any]
    again: bool


def earlier_answer(connection: sa.Connection, once: Once) -> dict[str, Any] | None:
    """Return what the same write answered before, None if it was not made; raises KeyReused."""
    here = answered.c.key == once.key
    connection.execute(sa.delete(answered).where(here, answered.c.at < once.at - once.lifetime))
    columns = (answered.c.fingerprint, answered.c.answer)
    row = connection.execute(sa.select(*columns).where(here)).one_or_none()
    if row is None:
        return None
    if row.fingerprint != once.fingerprint:
        raise KeyReused(once.key)
    return dict(row.answer)


def keep_answer(connection: sa.Connection, once: Once, answer: Mapping[str, Any]) -> None:
    """Keep an answer for callers that did not hear it."""
    row = {"key": once.key, "fingerprint": once.fingerprint, "answer": dict(answer), "at": once.at}
    connection.execute(sa.insert(answered).values(**row))


def forget_answers(connection: sa.Connection, before: datetime) -> int:
    """Forget answers kept before a moment; return how many."""
    return connection.execute(sa.delete(answered).where(answered.c.at < before)).rowcount
