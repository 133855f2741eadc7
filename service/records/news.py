"""News of jobs between processes: PostgreSQL's NOTIFY says that a job has changed, LISTEN hears it.

It only makes things quicker: whoever waits looks at the table now and then as well, so a word that is lost does no harm.
SQLite has nothing of the kind, and one server.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Literal

import sqlalchemy as sa

Channel = Literal["holdwright_changed", "holdwright_queued"]
CHANGED: Channel = "holdwright_changed"
QUEUED: Channel = "holdwright_queued"


def tell(connection: sa.Connection, channel: Channel, job: str) -> None:
    """Tell other processes of a job once this transaction is on disk."""
    if connection.dialect.name == "postgresql":
        connection.execute(sa.select(sa.func.pg_notify(channel, job)))


def listen(engine: sa.Engine, hear: Callable[[str, str], None], until: Callable[[], bool]) -> None:
    """Call `hear` with channel and job of all that is told, until `until`; returns at once where nothing is ever told.

    Raises what the database's driver raises once the connection is lost.
    """
    if engine.dialect.name != "postgresql":
        return
    with engine.connect() as connection:
        driver = connection.connection.driver_connection
        assert driver is not None
        try:
            driver.rollback()
            driver.autocommit = True
            for channel in (CHANGED, QUEUED):
                driver.execute(f"LISTEN {channel}")
            while not until():
                for notice in driver.notifies(timeout=0.5):
                    hear(notice.channel, notice.payload)
        finally:
            connection.invalidate()  # nobody else shall get a connection that listens
