"""Pieces and holes that a request leaves out, and reserved pieces that are promised to it."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from typing import Annotated, Any

from pydantic import Field

from inventory import limits
from inventory.errors import Fault
from inventory.limits import plain, shown, suggestion
from inventory.stock import StockSnapshot
from inventory.tables import Hole, Table, parse_hole
from service.documents.reading.fields import Document, UpTo, Whole, Within
from service.documents.reading.reading import Reading
from service.documents.reading.text import token
from service.documents.tables import HOLE_LABEL, missing_hole
from solver.request import Without

HeldPieces = dict[str, Annotated[Whole, Within(limits.HELD)]]
HELD = "reserved pieces that are promised to this very job, by item id: they are free for it"


class WithoutDocument(Document):
    """What may not be used."""

    items: Annotated[
        dict[str, Annotated[Whole, Within(limits.PIECES)]],
        Field(default_factory=dict, description="pieces to leave out, by item id"),
    ]
    holes: Annotated[
        list[str],
        UpTo(limits.HOLES),
        Field(default_factory=list, description="holes to leave out: C7 on every table, T2/B4 on one"),
    ]
    broken: Annotated[
        dict[str, Annotated[Whole, Within(limits.PIECES)]],
        Field(default_factory=dict, description="how many of the pieces left out are broken; a re-plan says so"),
    ]


def read_without(
    reading: Reading[Any], named: Sequence[str], held: Mapping[str, int], stock: StockSnapshot | None
) -> tuple[Without, list[str]]:
    """Return what may not be used, and what is odd in it, after looking tables `named`, items and holes up in the stock."""
    tables = [] if stock is None else [stock.tables[id] for id in named if id in stock.tables]
    if stock is not None:
        for k, id in enumerate(named):
            known = not isinstance(reading.at("/tables"), list) or id in stock.tables
            if reading.sound(f"/tables/{k}") and reading.sound("/tables") and not known:
                reading.add([Fault(f"/tables/{k}", f"there is no table {shown(id)}", suggestion(id, stock.tables, "a table"))])
    holes: set[tuple[str | None, Hole]] = set()
    for k, label in enumerate(reading.entries("/without/holes")):
        pointer = f"/without/holes/{k}"
        if reading.sound(pointer) and (found := _hole(reading, pointer, label, tables, stock)):
            holes.add(found)
    items = _pieces(reading, "/without/items", stock)
    warnings = [] if stock is None else list(_too_many(items, held, stock))
    broken = reading.at("/without/broken")
    sound = broken.items() if isinstance(broken, dict) else ()
    counts = {id: int(count) for id, count in sound if reading.sound(f"/without/broken/{token(id)}")}
    return reading.made(lambda: Without(items, frozenset(holes), counts), "/without") or Without(
        items, frozenset(holes)
    ), warnings


def _hole(
    reading: Reading[Any], pointer: str, label: str, tables: list[Table], stock: StockSnapshot | None
) -> tuple[str | None, Hole] | None:
    named, slash, bare = label.rpartition("/")
    try:
        hole = parse_hole(bare)
    except ValueError:
        reading.add([Fault(pointer, f"{shown(label)} is no hole label", f"{HOLE_LABEL}, or with a table: T2/B4")])
        return None
    if stock is None:
        return named if slash else None, hole
    if slash and named not in stock.tables:
        accepted = suggestion(named, stock.tables, "the id of a table before the slash")
        reading.add([Fault(pointer, f"there is no table {shown(named)}", accepted)])
    elif slash:
        reading.add(missing_hole(pointer, hole, stock.tables[named]))
    elif tables and not any(table.has(hole) for table in tables):
        largest = max(tables, key=lambda table: table.columns * table.rows)
        reading.add(missing_hole(pointer, hole, largest))
    return named if slash else None, hole


def read_held(reading: Reading[Any], stock: StockSnapshot | None) -> dict[str, int]:
    """Return the reserved pieces that are promised to the request, after looking their items up in the stock."""
    return _pieces(reading, "/held", stock)


def _pieces(reading: Reading[Any], under: str, stock: StockSnapshot | None) -> dict[str, int]:
    given = reading.at(under)
    found: dict[str, int] = {}
    for id, count in given.items() if isinstance(given, dict) else ():
        pointer = f"{under}/{token(id)}"
        if reading.sound(pointer):
            found[id] = int(count)
            if stock is not None and id not in stock.items:
                accepted = suggestion(id, stock.items, "an item of the catalogue")
                reading.add([Fault(pointer, f"there is no item {shown(id)}", accepted)])
    return found


def _too_many(items: Mapping[str, int], held: Mapping[str, int], stock: StockSnapshot) -> Iterator[str]:
    """Yield what is odd of pieces left out: that there are not so many."""
    for id, count in items.items():
        free = stock.free(id, held.get(id, 0))
        if id in stock.items and count > free:
            yield f"without {plain(count)} of {id}: only {free} free, none is left"
