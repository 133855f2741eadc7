"""The stock a plan may use over its own dates, as one moment saw it."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from typing import Generic, TypeVar

import sqlalchemy as sa

from inventory.availability import Span, peak
from inventory.items import Item
from inventory.stock import StockByDay, StockLine, StockSnapshot
from inventory.store.catalogue import Document, Stored, find_items, find_tables
from inventory.store.counts import Counted, lines
from inventory.store.promises import promises
from inventory.store.transactions import version
from inventory.tables import Table

Value = TypeVar("Value")


@dataclass(frozen=True, slots=True)
class Readers:
    """How stored documents become values; the wire schemas know, the store does not."""

    item: Callable[[Document], Item]
    table: Callable[[Document], Table]


class Remembered(Generic[Value]):
    """A reader that reads a document again only if it is not the one it read last under that id: shelves change seldom."""

    def __init__(self, read: Callable[[Document], Value]) -> None:
        self._read = read
        self._known: dict[str, tuple[Document, Value]] = {}

    def all(self, stored: Sequence[Stored]) -> dict[str, Value]:
        """Return the values of documents by id; forgets those that are no longer there."""
        known: dict[str, tuple[Document, Value]] = {}
        for each in stored:
            before = self._known.get(each.id)
            known[each.id] = before if before and before[0] == each.document else (each.document, self._read(each.document))
        self._known = known
        return {id: value for id, (_, value) in known.items()}


@dataclass(frozen=True, slots=True)
class Available:
    """A stock line and the most pieces promised on any day of a span."""

    counted: Counted
    reserved: int

    @property
    def free(self) -> int:
        """Pieces that may be promised over the span."""
        return max(0, self.counted.usable - self.reserved)


def available(connection: sa.Connection, counted: list[Counted], span: Span, today: date | None) -> list[Available]:
    """Return what each of the lines has free over a span."""
    wanted = [line.item for line in counted] if len(counted) <= 500 else None
    promised = promises(connection, wanted, span.first, today)
    return [Available(line, peak(promised.get(line.item, ()), span)) for line in counted]


def snapshot(
    connection: sa.Connection, items: Remembered[Item], tables: Remembered[Table], span: Span, today: date | None
) -> StockSnapshot:
    """Return tables, items and what is free of them over the span, with the store's version of that moment."""
    counted = available(connection, lines(connection), span, today)
    stock = {
        each.counted.item: StockLine(
            each.counted.item, each.counted.count, each.counted.out_of_service, each.reserved, each.counted.bin
        )
        for each in counted
    }
    catalogue, plates = find_items(connection, limit=1_000_000), find_tables(connection, limit=1_000_000)
    return StockSnapshot(tables.all(plates), items.all(catalogue), stock, version(connection))


def by_day(
    connection: sa.Connection, items: Remembered[Item], tables: Remembered[Table], span: Span, today: date | None
) -> StockByDay:
    """Return the snapshot over a span, and what is free on each of its days."""
    counted = lines(connection)
    promised = promises(connection, None, span.first, today)
    days = [span.first + timedelta(days=k) for k in range(span.days)]
    free = {
        line.item: tuple(max(0, line.usable - peak(promised.get(line.item, ()), Span(day, day))) for day in days)
        for line in counted
    }
    return StockByDay(snapshot(connection, items, tables, span, today), free)
