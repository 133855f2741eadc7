"""What keeps an alternative from being drawn: what it names that its request or the stock does not have, parts it leaves out."""

from __future__ import annotations

from collections.abc import Iterator

from inventory.errors import Fault
from inventory.limits import shown, suggestion
from inventory.stock import StockSnapshot
from solver.plans import Alternative
from solver.request import Request


def misfits(alternative: Alternative, request: Request, stock: StockSnapshot) -> list[Fault]:
    """Return a fault for each table, item and part that an alternative names and that is not there, or does not place; each once.

    Pointers lead into the alternative's document.
    """
    found: dict[tuple[str, str], Fault] = {}
    for pointer, fault in _each(alternative, request, stock):
        found.setdefault((fault.wrong, fault.accepted), fault.under(pointer))
    return list(found.values())


def _each(alternative: Alternative, request: Request, stock: StockSnapshot) -> Iterator[tuple[str, Fault]]:
    parts = {part.id for part in request.weldment.parts}
    table = alternative.table
    if table not in stock.tables:
        yield "/table", Fault("", f"the stock has no table {shown(table)}", suggestion(table, stock.tables, "a table's id"))
    for number, part in enumerate(alternative.parts):
        if part.id not in parts:
            yield f"/parts/{number}/id", _no_part(part.id, parts)
    for id in sorted(parts - {one.id for one in alternative.parts}):
        yield "/parts", Fault("", f"part {shown(id)} of the request is not placed", "an alternative made for this request")
    for number, one in enumerate(alternative.placements):
        pointer = f"/placements/{number}"
        yield from _item_faults(f"{pointer}/item", one.item, stock)
        for place, contact in enumerate(one.contacts):
            if contact.part not in parts:
                yield f"{pointer}/contacts/{place}/part", _no_part(contact.part, parts)
    for number, line in enumerate(alternative.kit):
        yield from _item_faults(f"/kit/{number}/item", line.item, stock)


def _item_faults(pointer: str, item: str, stock: StockSnapshot) -> Iterator[tuple[str, Fault]]:
    if item not in stock.items:
        accepted = suggestion(item, stock.items, "an item of the catalogue")
        yield pointer, Fault("", f"the stock has no item {shown(item)}", accepted)


def _no_part(part: str, parts: set[str]) -> Fault:
    return Fault("", f"the request has no part {shown(part)}", suggestion(part, sorted(parts), "a part's id"))
