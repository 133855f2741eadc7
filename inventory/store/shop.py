"""The store as the rest of the product sees it: open it, read it, write it."""

from __future__ import annotations

import math
import time
from collections.abc import Callable, Mapping
from datetime import date
from typing import Any, TypeVar

import sqlalchemy as sa
from sqlalchemy.exc import DBAPIError

from inventory.availability import Span
from inventory.reservations import Reservation
from inventory.stock import StockByDay, StockSnapshot
from inventory.store import reservations, snapshots
from inventory.store.answers import Answered, Once, earlier_answer, keep_answer
from inventory.store.engine import make_engine, writing
from inventory.store.errors import Unreachable, WrongSchema
from inventory.store.notes import Note
from inventory.store.reservations import Order
from inventory.store.schema_version import SHELF
from inventory.store.snapshots import Readers, Remembered
from inventory.store.transactions import Transactions, meaning, version
from inventory.store.writable import refuse_read_only, write_something

Answer = TypeVar("Answer")
PATIENCE_S = 60.0
PROBE_PATIENCE_S, PROBE_EVERY_S = 5.0, 1.0


class Store:
    """Counted stock in one database. Threads may share it; after a fork, open a new one.

    Reads and writes are functions of a connection, from the modules beside this one: ``store.read(lambda c: counts.lines(c))``,
    ``store.write(lambda c: counts.receive(c, "riser-40", 4, note))``.
    """

    def __init__(self, engine: sa.Engine, readers: Readers, patience_s: float) -> None:
        self.engine = engine
        self._items, self._tables = Remembered(readers.item), Remembered(readers.table)
        self._transactions = Transactions(engine, patience_s)
        self._probing, self._probed = Transactions(engine, min(patience_s, PROBE_PATIENCE_S)), -math.inf

    def read(self, action: Callable[[sa.Connection], Answer]) -> Answer:
        """Return what `action` reads, all of it from one moment."""
        return self._transactions.read(action)

    def write(self, action: Callable[[sa.Connection], Answer]) -> Answer:
        """Return what `action` answers, after it is on disk; if it raises, nothing was written."""
        return self._transactions.write(action)

    def write_beside(self, action: Callable[[sa.Connection], Answer]) -> Answer:
        """Write without waiting for a turn: only for what no promise of stock rests on, row by row."""
        return self._transactions.write_beside(action)

    def write_once(self, once: Once | None, action: Callable[[sa.Connection], Mapping[str, Any]]) -> Answered:
        """Write, unless the same write was made under the same key before: then return what it answered.

        The answer is kept in the transaction of the write, so a caller that lost the connection may ask again.
        """

        def act(connection: sa.Connection) -> Answered:
            earlier = None if once is None else earlier_answer(connection, once)
            if earlier is not None:
                return Answered(earlier, again=True)
            answer = dict(action(connection))
            if once is not None:
                keep_answer(connection, once, answer)
            return Answered(answer, again=False)

        return self.write(act)

    def probe(self) -> None:
        """Raise StoreError unless the store can be written: a row is written and taken away again, once a second at most."""
        if time.monotonic() - self._probed >= PROBE_EVERY_S:
            self._probing.write(write_something)
            self._probed = time.monotonic()

    def version(self) -> int:
        """Return the stock version."""
        return self.read(version)

    def snapshot(self, span: Span, today: date | None = None) -> StockSnapshot:
        """Return what may be planned with over a span of days."""
        return self.read(lambda connection: snapshots.snapshot(connection, self._items, self._tables, span, today))

    def by_day(self, span: Span, today: date | None = None) -> StockByDay:
        """Return what may be planned with over a span of days, and what is free on each of them."""
        return self.read(lambda connection: snapshots.by_day(connection, self._items, self._tables, span, today))

    def reserve(self, order: Order, note: Note, today: date | None = None) -> Reservation:
        """Promise every line of an order or none; raises Shortage.

        A shortage is looked for before the turn to write is taken, so that those who ask in vain do not hold up those who do not.
        """
        self.read(lambda connection: reservations.refuse_short(connection, order.pieces, order.span, today))
        return self.write(lambda connection: reservations.reserve(connection, order, note, today))

    def expire(self, note: Note, today: date) -> list[Reservation]:
        """Expire the reservations not collected in time; writes nothing if there are none."""
        if not self.read(lambda connection: reservations.forgotten(connection, note.at, today)):
            return []
        return self.write(lambda connection: reservations.expire(connection, note, today))

    def close(self) -> None:
        """Close every connection."""
        self.engine.dispose()


def open_store(url: str, readers: Readers, *, patience_s: float = PATIENCE_S, upgrade: bool = True) -> Store:
    """Open the store at a URL, creating it in an empty database and bringing an older one up to date.

    Parameters
    ----------
    url : str
        ``sqlite:///shop.sqlite3`` or ``postgresql://user@host/database``.
    readers : Readers
        How stored documents become values.
    patience_s : float
        How long a write waits for others before StoreBusy, seconds.
    upgrade : bool
        False: refuse an older schema instead of migrating it.

    Raises
    ------
    StoreUnusable
        NetworkFileSystem, ReadOnlyStore, DiskFull, WrongSchema or Unreachable, each saying what to do.
    """
    engine = make_engine(url, patience_s)
    try:
        newest = SHELF.known()[-1]
        with engine.connect() as connection, connection.begin():
            current = SHELF.current(connection)
        if current != newest and not upgrade:
            raise WrongSchema(f"the store is at schema {current or 'none'}, this program needs {newest}; allow it to upgrade")
        if current != newest:
            SHELF.bring_to(writing(engine))
        refuse_read_only(engine)
    except DBAPIError as error:
        engine.dispose()
        meant = meaning(error)
        raise Unreachable(f"the database cannot be opened ({str(error.orig).strip()})") if meant is error else meant from error
    except BaseException:
        engine.dispose()
        raise
    return Store(engine, readers, patience_s)
