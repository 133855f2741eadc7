"""Stock lists in and out, as CSV: all rows or none."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from typing import Any

from inventory.errors import Fault, InvalidDocument
from inventory.limits import shown, suggestion
from inventory.store import Connection, Note, Store, catalogue, counts
from inventory.store.catalogue import ANY_VERSION, Stored
from inventory.store.counts import Counted
from inventory.store.errors import Stale
from inventory.store.hits import Hit
from inventory.store.transactions import version
from service.exchange.cells import Separator
from service.exchange.csv_rows import MOST_FAULTS
from service.exchange.stock_csv import StockRow, read, written
from service.stockroom.hit_reservations import with_hits

_PRICES: tuple[str, ...] = ("price_cents", "day_rate_cents")
_MOST_SUGGESTIONS = 20


@dataclass(frozen=True, slots=True)
class RowChange:
    """What a row changes: field by field, before and after; a row that changes nothing has none."""

    row: int
    item: str
    fields: dict[str, tuple[Any, Any]]


@dataclass(frozen=True, slots=True)
class ListImport:
    """What a list changed, or would change, and whom that hits (nobody yet, on a dry run).

    `stock_version` is that of the moment the list was held against the stock, before anything was written.
    """

    rows: int
    changes: tuple[RowChange, ...]
    hits: tuple[Hit, ...]
    written: bool
    stock_version: int


def export(store: Store, separator: Separator = ",") -> bytes:
    """Return the whole stock as CSV."""

    def rows(connection: Connection) -> list[StockRow]:
        documents = _documents(connection)
        return [_row(line, documents[line.item].document) for line in counts.lines(connection)]

    return written(store.read(rows), separator)


def preview(store: Store, raw: bytes) -> ListImport:
    """Return what a stock list would change, and write nothing; raises InvalidDocument with every fault of every row."""
    rows, faults = read(raw)

    def held_against_stock(connection: Connection) -> ListImport:
        return ListImport(len(rows), _changes(connection, rows, faults), (), False, version(connection))

    return store.read(held_against_stock)


def take_in(connection: Connection, raw: bytes, note: Note, today: date, expected: int = ANY_VERSION) -> ListImport:
    """Write a stock list's counts, bins and prices.

    Parameters
    ----------
    expected : int
        The stock version that a dry run was shown of; by any other version nothing is written.

    Raises
    ------
    InvalidDocument
        With every fault; then nothing is written.
    Stale
        If the stock was changed since that version.
    """
    rows, faults = read(raw)
    there = version(connection)
    if expected not in (ANY_VERSION, there):
        raise Stale("the", "stock", expected, there)
    changes = _changes(connection, rows, faults)

    def apply() -> None:
        for change in changes:
            _apply(connection, change, note)

    _, found = with_hits(connection, [change.item for change in changes], apply, note, today)
    return ListImport(len(rows), changes, found, True, there)


def _changes(connection: Connection, rows: list[StockRow], faults: list[Fault]) -> tuple[RowChange, ...]:
    found = [*faults, *_row_faults(connection, rows)]
    if found:
        raise InvalidDocument(sorted(found, key=lambda fault: (int(fault.pointer.split("/")[2]), fault.pointer)))
    there = {line.item: line for line in counts.lines(connection)}
    documents = _documents(connection)
    changes = (RowChange(row.row, row.item, _changed(row, there[row.item], documents[row.item].document)) for row in rows)
    return tuple(change for change in changes if change.fields)


def _row_faults(connection: Connection, rows: list[StockRow]) -> list[Fault]:
    there = {line.item: line for line in counts.lines(connection)}
    documents = _documents(connection)
    faults: list[Fault] = []
    unknown = 0
    for row in rows:
        if len(faults) >= MOST_FAULTS:
            faults.append(Fault(f"/rows/{row.row}", "too many faults; reading ends here", "the faults above mended first"))
            break
        here, line = f"/rows/{row.row}", there.get(row.item)
        if line is None:
            # Looking for the nearest of a thousand names takes 10 ms: not for every row of a list from another shop.
            unknown += 1
            accepted = "an item of the catalogue"
            accepted = suggestion(row.item, there, accepted) if unknown <= _MOST_SUGGESTIONS else accepted
            faults.append(Fault(f"{here}/item", f"there is no item {shown(row.item)}", accepted))
            continue
        known = {"name": documents[row.item].document.get("name") or "", "kind": documents[row.item].document["kind"]}
        for column, value in known.items():
            said = getattr(row, column)
            if said not in (None, "", value):
                # A column sorted by itself gives every count to another item; names beside ids are how that is noticed.
                wrong = f"{shown(row.item)} is {shown(value)} in the catalogue, {shown(said)} here"
                faults.append(
                    Fault(f"{here}/{column}", wrong, f"{shown(value)}, or an empty cell; the catalogue is changed elsewhere")
                )
        if row.version not in (None, line.version):
            wrong = f"{shown(row.item)} was changed since this list was written (version {line.version}, not {row.version})"
            faults.append(Fault(f"{here}/version", wrong, "a list exported after that, or an empty cell"))
        out = line.out_of_service if row.out_of_service is None else row.out_of_service
        if out > row.count:
            wrong = f"{row.count} counted, {out} out of service"
            faults.append(Fault(f"{here}/count", wrong, "at least as many as are out of service"))
    return faults


def _changed(row: StockRow, line: Counted, document: dict[str, Any]) -> dict[str, tuple[Any, Any]]:
    before = {
        "count": line.count, "out_of_service": line.out_of_service, "bin": line.bin,
        "price_cents": document["price_cents"], "day_rate_cents": document["day_rate_cents"],
    }  # fmt: skip
    after = {field: getattr(row, field) for field in before}
    return {field: (before[field], after[field]) for field in before if after[field] not in (None, before[field])}


def _apply(connection: Connection, change: RowChange, note: Note) -> None:
    now = {field: after for field, (_, after) in change.fields.items()}
    line = counts.line(connection, change.item)
    if "count" in now or "out_of_service" in now:
        count, out = now.get("count", line.count), now.get("out_of_service", line.out_of_service)
        changes = {"count_change": count - line.count, "out_of_service_change": out - line.out_of_service}
        counts.change(connection, change.item, "import", note, count, **changes)
    if "bin" in now:
        counts.put_in_bin(connection, change.item, now["bin"])
    prices = {field: now[field] for field in _PRICES if field in now}
    if prices:
        stored = catalogue.item(connection, change.item)
        catalogue.put_item(connection, {**stored.document, **prices}, ANY_VERSION)


def _documents(connection: Connection) -> dict[str, Stored]:
    return {stored.id: stored for stored in catalogue.find_items(connection, limit=1_000_000)}


def _row(line: Counted, document: dict[str, Any]) -> StockRow:
    return StockRow(
        row=0,
        item=line.item,
        count=line.count,
        out_of_service=line.out_of_service,
        bin=line.bin,
        price_cents=document["price_cents"],
        day_rate_cents=document["day_rate_cents"],
        version=line.version,
        name=document.get("name") or "",
        kind=document["kind"],
    )
