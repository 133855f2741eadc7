"""`holdwright draw` and `holdwright stock draw`: weldments and hardware as drawings and as solid bodies."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

from inventory.errors import Fault, InvalidDocument
from inventory.items import Item
from inventory.limits import shown, suggestion
from inventory.stock import StockSnapshot
from service.command_line.drawn_file import wanted_format, write_content
from service.command_line.exit_code import read_from
from service.command_line.plan import refuse_unwritable
from service.command_line.printing.console import DONE, read_input
from service.command_line.sources import existing_store
from service.documents import read_item
from service.documents.reading.text import read_text
from service.documents.weldment import read_weldment
from service.drawings.items.item_formats import ITEM_FORMATS
from service.drawings.items.shown_items import ShownItems, lattice_pitch
from service.drawings.weldment.weldment_formats import WELDMENT_FORMATS
from service.errors import InvalidSource
from service.files import LARGEST_FILE
from service.settings import Settings
from service.stockroom.stock_source import chosen_stock
from solver.weldment import Weldment

WELDMENT, REQUEST, ITEM = "holdwright.weldment/1", "holdwright.request/1", "holdwright.item/1"


def draw_document(document: Path, out: Path, format: str | None, pitch: float | None) -> int:
    """Draw a weldment, a request's weldment or an item; return the exit code."""
    refuse_unwritable(out)
    with read_from(document):
        raw = read_input(document)
        values = read_text(raw, LARGEST_FILE).values
        kind = values.get("format") if isinstance(values, dict) else None
        if kind == ITEM:
            item = read_item(raw)
        elif kind in (WELDMENT, REQUEST):
            weldment = _weldment(values)
        else:
            accepted = f"a document of format {WELDMENT}, {REQUEST} or {ITEM}"
            raise InvalidDocument([Fault("/format", f"is {shown(kind)}" if kind is not None else "is missing", accepted)])
    if kind == ITEM:
        items = wanted_format(ITEM_FORMATS, out, format)
        write_content(out, items.content(ShownItems((item,), pitch)))
    else:
        write_content(out, wanted_format(WELDMENT_FORMATS, out, format).content(weldment))
    return DONE


def draw_items(ids: Sequence[str], stock: Path | None, db: str | None, out: Path, format: str | None) -> int:
    """Draw items of a stock file or a store, all of them if none is named; return the exit code."""
    wanted = wanted_format(ITEM_FORMATS, out, format)
    refuse_unwritable(out)
    with read_from("--stock" if stock is not None else "--db"):
        source = chosen_stock(stock, None if stock is not None else existing_store(Settings.read(db=db).db))
        shelf = source.snapshot()
    write_content(out, wanted.content(ShownItems(_named(ids, shelf), lattice_pitch(tuple(shelf.tables.values())))))
    return DONE


def _weldment(values: dict[str, object]) -> Weldment:
    if values["format"] == WELDMENT:
        return read_weldment(values)
    try:
        return read_weldment(values["weldment"] if isinstance(values.get("weldment"), dict) else {})  # type: ignore[arg-type]
    except InvalidDocument as bad:
        raise InvalidDocument([fault.under("/weldment") for fault in bad.faults]) from None


def _named(ids: Sequence[str], shelf: StockSnapshot) -> tuple[Item, ...]:
    unknown = [Fault("", f"there is no item {shown(id)}", suggestion(id, shelf.items, "an item's id")) for id in ids]
    unknown = [fault for fault, id in zip(unknown, ids, strict=True) if id not in shelf.items]
    if not shelf.items:
        unknown.append(Fault("", "the catalogue is empty", "at least one item"))
    if unknown:
        raise InvalidSource("ITEM", unknown)
    return tuple(shelf.items[id] for id in dict.fromkeys(ids or sorted(shelf.items)))
