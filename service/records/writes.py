"""The journal of writes: which key did what, where and when. A line is written in the transaction of the write it tells of."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

import sqlalchemy as sa

from service.records.schema import writes

LONGEST_ADDRESS, LONGEST_REQUEST_ID = 400, 64


@dataclass(frozen=True, slots=True)
class Asked:
    """A write that is asked for: by whom, by which operation, where.

    Parameters
    ----------
    key : str or None
        Id of the API key; None where none is needed, or at the command line.
    name : str
        Name of whoever asks: the key's, or what stands for one.
    operation : str
        The operation's id in the reference, such as `record_entry`.
    address : str
        The address it was asked at, or the command.
    request_id : str
        What the log knows the request by, empty at the command line.
    """

    key: str | None
    name: str
    operation: str
    address: str
    at: datetime
    request_id: str = ""


def note_write(connection: sa.Connection, asked: Asked, status: int) -> None:
    """Write down that a write was made, with the HTTP status it is answered with; call it in the write's own transaction."""
    values = {"at": asked.at, "api_key": asked.key, "operation": asked.operation, "status": status}
    where = {"address": asked.address[:LONGEST_ADDRESS], "request_id": asked.request_id[:LONGEST_REQUEST_ID]}
    connection.execute(writes.insert().values(**values, **where))
