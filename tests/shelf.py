"""A small shop's shelf for tests of the store: items that are only names and counts."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import UTC, date, datetime
from typing import Any

from inventory.availability import Span
from inventory.items import Item, Solid
from inventory.shapes import Prism
from inventory.store import Note, Order, Readers, Store, catalogue, counts, open_store
from inventory.tables import Table

MONDAY = date(2027, 3, 1)
MORNING = datetime(2027, 3, 1, 7, 0, tzinfo=UTC)
STOREKEEPER = Note("storekeeper", MORNING, "set up")
BLOCK = Prism(((-15.0, -15.0), (15.0, -15.0), (15.0, 15.0), (-15.0, 15.0)), 0.0, 75.0)


def item_document(id: str, **more: Any) -> dict[str, Any]:
    """Return a riser's document; its name is its id in words."""
    solids = [{"outline": [list(point) for point in BLOCK.outline], "from": BLOCK.start, "to": BLOCK.end}]
    document = {"format": "holdwright.item/1", "id": id, "kind": "riser", "name": id.replace("-", " ") + " mm"}
    shape = {"pegs": [[0, 0]], "turns": [0, 90, 180, 270], "solids": solids, "carries": {"height": 75, "pegs": [[0, 0]]}}
    return document | shape | {"price_cents": 4000, "day_rate_cents": 40, "lead_days": 5} | more


def table_document(id: str = "T1") -> dict[str, Any]:
    """Return the document of a plain table."""
    lattice = {"first": [40, 40], "pitch": 40, "columns": 39, "rows": 24, "hole_diameter": 14, "thickness": 14}
    return {"format": "holdwright.table/1", "id": id, "size": [1600, 1000], **lattice}


def _item(document: Mapping[str, Any]) -> Item:
    price = {key: document[key] for key in ("price_cents", "day_rate_cents", "lead_days")}
    return Item(document["id"], document["kind"], document["name"], ((0, 0),), (0.0,), (Solid(BLOCK),), **price)


def _table(document: Mapping[str, Any]) -> Table:
    return Table(document["id"], (1600.0, 1000.0), (40.0, 40.0), 40.0, 39, 24, 14.0, 14.0)


READERS = Readers(item=_item, table=_table)


def a_store(url: str, stocked: Mapping[str, int], patience_s: float = 60.0) -> Store:
    """Open a store and put pieces on its shelf."""
    store = open_store(url, READERS, patience_s=patience_s)

    def fill(connection: Any) -> None:
        for item, pieces in stocked.items():
            catalogue.put_item(connection, item_document(item), None)
            if pieces:
                counts.receive(connection, item, pieces, STOREKEEPER)

    store.write(fill)
    return store


def days(first: int, last: int | None = None) -> Span:
    """Return a span in March 2027 by its days of the month."""
    return Span(date(2027, 3, first), date(2027, 3, first if last is None else last))


def an_order(first: int = 2, last: int | None = None, job: str = "hinge posts", **pieces: int) -> Order:
    """Return an order; ``riser_75=2`` asks for two of riser-75."""
    return Order(job, days(first, last), {item.replace("_", "-"): count for item, count in pieces.items()})


def by(who: str = "planner", why: str = "", at: datetime = MORNING) -> Note:
    """Return a signature."""
    return Note(who, at, why)
