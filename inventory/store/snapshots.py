"""The stock a plan may use over its own dates, as one moment saw it."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from datetime import date

import sqlalchemy as sa

from inventory.availability import Span, peak
from inventory.items import Item
from inventory.stock import StockLine, StockSnapshot
from inventory.store.catalogue import Document, find_items, find_tables
from inventory.store.counts import Counted, lines
from inventory.store.promises import promises
from inventory.store.transactions import version
from inventory.tables import Table


@dataclass(frozen=True, slots=True)
class Readers:
    """How stored documents become values; the wire schemas know, the store does not."""

    item: Callable[[Document], Item]
    table: Callable[[Document], Table]


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


def snapshot(connection: sa.Connection, readers: Readers, span: Span, today: date | None) -> StockSnapshot:
    """Return tables, items and what is free of them over the span, with the store's version of that moment."""
    counted = available(connection, lines(connection), span, today)
    stock = {
        each.counted.item: StockLine(
            each.counted.item, each.counted.count, each.counted.out_of_service, each.reserved, each.counted.bin
        )
        for each in counted
    }
    items = {stored.id: readers.item(stored.document) for stored in find_items(connection, limit=1_000_000)}
    tables = {stored.id: readers.table(stored.document) for stored in find_tables(connection, limit=1_000_000)}
    return StockSnapshot(tables, items, stock, version(connection))
