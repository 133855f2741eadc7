"""Where counted stock comes from: a file, or the store.

What speaks SQL is imported when a store is opened: a plan on a stock file does without.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import UTC, date, datetime
from pathlib import Path
from typing import TYPE_CHECKING, Protocol

from inventory.availability import Span
from inventory.errors import Fault, InvalidDocument
from inventory.stock import StockByDay, StockSnapshot
from service.documents import read_item, read_stock, read_table
from service.files import read_bytes

if TYPE_CHECKING:
    from inventory.store import Store

Days = tuple[date, date]


def days_of(span: Days) -> int:
    """Return how many calendar days a span has, both ends included."""
    return (span[1] - span[0]).days + 1


class StockSource(Protocol):
    """Anything that can say what is free over a span of calendar days (both included; None: today)."""

    def snapshot(self, span: Days | None = None) -> StockSnapshot:
        """Return tables, items and counts as one transaction saw them."""
        ...

    def by_day(self, span: Days) -> StockByDay:
        """Return what is free over calendar days, and on each of them, as one transaction saw it."""
        ...

    def held_by(self, plan: str, span: Days | None = None) -> Mapping[str, int] | None:
        """Return the pieces reserved for a plan's kits, by item, which the snapshot counts as reserved over the span.

        None if nothing was ever promised for the plan.
        """
        ...


@dataclass(frozen=True, slots=True)
class FileStock:
    """A stock file; its counts hold for any span."""

    path: Path

    def snapshot(self, span: Days | None = None) -> StockSnapshot:
        """Read the file; raises `InvalidDocument` with every fault."""
        return read_stock(read_bytes(self.path))

    def by_day(self, span: Days) -> StockByDay:
        """Read the file; its counts hold for every day."""
        return StockByDay.alike(self.snapshot(), days_of(span))

    def held_by(self, plan: str, span: Days | None = None) -> None:
        """Return None: a file does not say for what pieces are reserved."""

    def __str__(self) -> str:
        return str(self.path)


@dataclass(frozen=True, slots=True)
class NoStock:
    """Neither a file nor a store was named."""

    def snapshot(self, span: Days | None = None) -> StockSnapshot:
        """Refuse."""
        raise InvalidDocument([Fault("", "no stock was named", "--stock FILE or --db URL, one of the two")])

    def by_day(self, span: Days) -> StockByDay:
        """Refuse."""
        return StockByDay.alike(self.snapshot(), days_of(span))

    def held_by(self, plan: str, span: Days | None = None) -> None:
        """Return None: nothing is reserved where there is no stock."""

    def __str__(self) -> str:
        return "--stock"


@dataclass(frozen=True, slots=True)
class StoreStock:
    """The store; what is reserved on any day of the span is not free."""

    store: Store

    def snapshot(self, span: Days | None = None) -> StockSnapshot:
        """Read one moment of the store, after overdue reservations have expired."""
        today = self._without_overdue()
        first, last = span or (today, today)
        return self.store.snapshot(Span(first, last), today)

    def by_day(self, span: Days) -> StockByDay:
        """Read one moment of the store, after overdue reservations have expired."""
        return self.store.by_day(Span(*span), self._without_overdue())

    def _without_overdue(self) -> date:
        from service.stockroom.expiry import expire_overdue

        today = date.today()
        expire_overdue(self.store, datetime.now(UTC), today)
        return today

    def held_by(self, plan: str, span: Days | None = None) -> Mapping[str, int] | None:
        """Read the reservations of the plan's kits that hold pieces, and what they take of what is free over the span."""
        from inventory.store.promises import promised_to

        today = date.today()
        first, last = span or (today, today)
        return self.store.read(lambda connection: promised_to(connection, plan, Span(first, last), today))

    def __str__(self) -> str:
        return "store"


@dataclass(frozen=True, slots=True)
class DaysStock:
    """Snapshots taken before, by their days, and the one of all other days."""

    taken: Mapping[Days, StockSnapshot]
    other: StockSnapshot

    def snapshot(self, span: Days | None = None) -> StockSnapshot:
        """Return the snapshot of these days."""
        return self.other if span is None else self.taken.get(span, self.other)

    def by_day(self, span: Days) -> StockByDay:
        """Return the snapshot of these days for each of them."""
        return StockByDay.alike(self.snapshot(span), days_of(span))

    def held_by(self, plan: str, span: Days | None = None) -> None:
        """Return None: snapshots do not say for what pieces are reserved."""


def chosen_stock(file: Path | None, url: str | None) -> StockSource:
    """Return the source that was named: exactly one of a stock file and a store."""
    if file is not None and url is None:
        return FileStock(file)
    if url is not None and file is None:
        return StoreStock(opened(url))
    return NoStock()


def opened(url: str) -> Store:
    """Open the store at a URL; raises StoreError saying what to do."""
    from inventory.store import Readers, open_store

    return open_store(url, Readers(lambda item: read_item(dict(item)), lambda table: read_table(dict(table))))
