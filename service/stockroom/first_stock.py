"""Fill an empty store from a stock document: tables, items, counts, and what is promised already."""

from __future__ import annotations

from datetime import UTC, date, datetime, timedelta

from inventory.availability import Span
from inventory.stock import StockSnapshot
from inventory.store import Connection, Note, Order, Store, catalogue, counts, reservations
from service.documents.items import item_document
from service.documents.tables import table_document

_PROMISED_DAYS = 365


def fill_if_empty(store: Store, shelf: StockSnapshot, who: str = "holdwright serve --demo") -> bool:
    """Write tables, items and counts into a store that holds nothing, in one transaction; return whether it was empty.

    Reserved pieces become one reservation over the coming year, since a store has promises with dates instead of a number.
    """
    at = datetime.now(UTC)
    note = Note(who, at, "demo shop")

    def fill(connection: Connection) -> bool:
        if catalogue.find_items(connection, limit=1) or catalogue.find_tables(connection, limit=1):
            return False
        _write(connection, shelf, note, at.date())
        return True

    return store.write(fill)


def _write(connection: Connection, shelf: StockSnapshot, note: Note, today: date) -> None:
    for table in shelf.tables.values():
        catalogue.put_table(connection, table_document(table), None)
    for item in shelf.items.values():
        catalogue.put_item(connection, item_document(item), None)
    for line in shelf.lines.values():
        counts.recount(connection, line.item, line.count, note, out_of_service=line.out_of_service)
        if line.bin:
            counts.put_in_bin(connection, line.item, line.bin)
    promised = {line.item: line.reserved for line in shelf.lines.values() if line.reserved}
    if promised:
        span = Span(today, today + timedelta(days=_PROMISED_DAYS - 1))
        reservations.reserve(connection, Order("other jobs", span, promised), note, today)
