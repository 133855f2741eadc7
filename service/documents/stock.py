"""The stock document: tables, catalogue and counts in one file."""

from __future__ import annotations

from typing import Annotated, Any, Literal

from pydantic import ConfigDict, Field

from inventory import limits
from inventory.errors import Fault
from inventory.items import Item
from inventory.limits import repeated_faults
from inventory.stock import StockLine, StockSnapshot
from inventory.tables import Table
from service.documents import items, tables
from service.documents.items import ItemDocument, item_document
from service.documents.reading.fields import Document, Id, Name, UpTo, ValueDocument, Whole, Within
from service.documents.reading.reading import Reading
from service.documents.reading.text import LARGEST_FILE
from service.documents.tables import TableDocument, table_document

FORMAT = "holdwright.stock/1"
EXAMPLE: dict[str, Any] = {
    "format": FORMAT, "tables": [tables.EXAMPLE], "items": [items.EXAMPLE],
    "stock": [{"item": "adj-25", "count": 6, "out_of_service": 1, "reserved": 2, "bin": "B1"}],
}  # fmt: skip

Pieces = Annotated[Whole, Within(limits.PIECES)]


class StockLineDocument(ValueDocument[StockLine]):
    """How many pieces of one item there are; free = count - out_of_service - reserved."""

    item: Annotated[Id, Field(description="id of an item of the catalogue")]
    count: Annotated[Pieces, Field(description="pieces the shop owns")]
    out_of_service: Annotated[Pieces, Field(description="pieces broken or lent out, at most the count")] = 0
    reserved: Annotated[Pieces, Field(description="pieces promised to other jobs")] = 0
    bin: Annotated[Name, Field(description="where they lie")] = ""

    def _built(self) -> StockLine:
        return StockLine(self.item, self.count, self.out_of_service, self.reserved, self.bin)


class StockDocument(Document):
    """Tables, catalogue and counts."""

    model_config = ConfigDict(json_schema_extra={"examples": [EXAMPLE]})

    format: Annotated[Literal["holdwright.stock/1"], Field(description=f'"{FORMAT}"; may be left out')] = "holdwright.stock/1"
    tables: Annotated[list[TableDocument], UpTo(limits.TABLES), Field(default_factory=list, description="the shop's tables")]
    items: Annotated[list[ItemDocument], UpTo(limits.ITEMS), Field(default_factory=list, description="the catalogue")]
    stock: Annotated[
        list[StockLineDocument],
        UpTo(limits.ITEMS),
        Field(default_factory=list, description="the counts; an item without a line has no pieces"),
    ]
    version: Annotated[Whole, Within(limits.VERSION), Field(description="state of the stock these counts belong to")] = 1


def read_stock(raw: bytes | str | dict[str, Any]) -> StockSnapshot:
    """Read a stock document; raises InvalidDocument with every fault.

    Parameters
    ----------
    raw : bytes, str or dict
        The document, up to 20 MB; `tables`, `items` and `stock` are each a list.
    """
    reading = Reading(raw, StockDocument, LARGEST_FILE)
    lines = _lines(reading)
    _counted(reading)
    reading.finish()
    found = reading.document
    assert found is not None
    catalogue: dict[str, Item] = {item.id: item.to_domain() for item in found.items}
    plates: dict[str, Table] = {table.id: table.to_domain() for table in found.tables}
    return StockSnapshot(plates, catalogue, lines, found.version)


def _lines(reading: Reading[StockDocument]) -> dict[str, StockLine]:
    """Return the sound lines by item; ids that stand there twice and unknown items are faults."""
    for field, entry, what in (
        ("tables", "id", "table id"),
        ("items", "id", "item id"),
        ("stock", "item", "stock line for item"),
    ):
        reading.add(repeated_faults(reading.names(f"/{field}", entry), what))
    known = {id for _, id in reading.names("/items", "id") if id is not None}
    nameless = any(id is None for _, id in reading.names("/items", "id")) or not isinstance(reading.at("/items") or [], list)
    for pointer, id in reading.names("/stock", "item"):
        if id is not None and id not in known and not nameless and reading.sound(pointer):
            accepted = limits.suggestion(id, known, "an item of `items`")
            reading.add([Fault(pointer, f"there is no item {limits.shown(id)}", accepted)])
    return {line.item: line.to_domain() for line in reading.sound_models("/stock", StockLineDocument) if line is not None}


def _counted(reading: Reading[StockDocument]) -> None:
    for field, most in (("tables", limits.TABLES), ("items", limits.ITEMS), ("stock", limits.ITEMS)):
        if len(reading.entries(f"/{field}")) > most:
            wrong = f"{len(reading.entries(f'/{field}'))} {field}"
            reading.add([Fault(f"/{field}", wrong, f"at most {most:,}")])


def stock_document(stock: StockSnapshot) -> dict[str, Any]:
    """Return a snapshot as the document it is read from, in mm."""
    return {
        "format": FORMAT,
        "tables": [table_document(table) for table in stock.tables.values()],
        "items": [item_document(item) for item in stock.items.values()],
        "stock": [
            {"item": x.item, "count": x.count, "out_of_service": x.out_of_service, "reserved": x.reserved, "bin": x.bin}
            for x in stock.lines.values()
        ],
        "version": stock.version,
    }
