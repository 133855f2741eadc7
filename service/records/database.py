"""What the records stand on: a database's transactions, and a clock."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from contextlib import contextmanager
from datetime import UTC, datetime
from typing import Protocol, TypeVar

import sqlalchemy as sa

Answer = TypeVar("Answer")


class Database(Protocol):
    """Transactions on the store's database."""

    engine: sa.Engine

    def read(self, action: Callable[[sa.Connection], Answer]) -> Answer:
        """Return what `action` reads, all of it from one moment."""
        ...

    def write(self, action: Callable[[sa.Connection], Answer]) -> Answer:
        """Return what `action` answers after all it wrote is on disk; all such writes happen one after the other."""
        ...

    def write_beside(self, action: Callable[[sa.Connection], Answer]) -> Answer:
        """Return what `action` answers after all it wrote is on disk, without a turn: others may write at the same time.

        So it may only change rows that it holds (``UPDATE ... WHERE``, ``SELECT ... FOR UPDATE``).
        """
        ...

    def probe(self) -> None:
        """Raise StoreError unless there can be written."""
        ...


Clock = Callable[[], datetime]


def now() -> datetime:
    """Return the time, UTC."""
    return datetime.now(UTC)


@contextmanager
def alone(engine: sa.Engine, number: int) -> Iterator[None]:
    """Keep other processes on the same PostgreSQL database out of what is done under the same number meanwhile."""
    with engine.connect() as connection, connection.begin():
        connection.execute(sa.select(sa.func.pg_advisory_xact_lock(number)))
        yield


def driver_url(engine: sa.Engine) -> str:
    """Return the database's URL as its own driver reads it, password and all: never to be shown."""
    return engine.url.set(drivername=engine.dialect.name).render_as_string(hide_password=False)
