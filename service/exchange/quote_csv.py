"""Inquiries as CSV, a weldment and a quantity a row, and quotes as CSV, written as stock lists are."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from inventory import limits
from inventory.errors import Fault, InvalidDocument
from inventory.limits import shown
from service.exchange.cells import Separator, Unreadable, plain, table, whole
from service.exchange.csv_rows import MOST_FAULTS
from service.exchange.stock_csv import as_written

COLUMNS = ("weldment", "quantity", "name", "customer")
REQUIRED = ("weldment", "quantity")
MOST_ROWS = 10_000
QUOTED = (
    "line", "name", "customer", "weldment", "quantity", "status", "price_each", "price_lot", "gap_percent", "setup_hours",
    "cycle_s", "short", "buying", "by_hand", "dedicated", "cheapest_way", "fixture_from", "fixture_up_to", "plan", "because",
)  # fmt: skip


@dataclass(frozen=True, slots=True)
class AskedRow:
    """One row: whose price is wanted, a plan's id or a file, at which quantity."""

    row: int
    weldment: str
    quantity: int
    name: str = ""
    customer: str = ""


def read(raw: bytes) -> tuple[AskedRow, ...]:
    """Return the rows of an inquiry; raises InvalidDocument with every fault, at ``/rows/<row>/<column>``."""
    records = as_written(raw)
    heading_row, heading = records[0] if records else (1, [])
    columns = [cell.strip().lower().replace(" ", "_") for cell in heading]
    accepted = "the columns " + ", ".join(COLUMNS)
    faults = [
        Fault(f"/rows/{heading_row}", f"there is no column {shown(column)}", accepted)
        for column in columns if column and column not in COLUMNS
    ]  # fmt: skip
    faults += [
        Fault(f"/rows/{heading_row}", f"the column {column} is {'missing' if column not in columns else 'there twice'}", accepted)
        for column in COLUMNS if columns.count(column) > 1 or (column in REQUIRED and column not in columns)
    ]  # fmt: skip
    if faults:
        raise InvalidDocument(faults)
    rows = []
    for number, record in records[1:]:
        row = _row(number, columns, record, faults)
        if row is not None:
            rows.append(row)
        if len(faults) > MOST_FAULTS or len(rows) > MOST_ROWS:
            break
    if len(rows) > MOST_ROWS:
        faults.append(Fault(f"/rows/{rows[-1].row}", f"more than {MOST_ROWS:,} rows", f"at most {MOST_ROWS:,} rows"))
    if not rows and not faults:
        faults.append(Fault("", "there is no row below the heading", "a weldment and a quantity a row"))
    if faults:
        raise InvalidDocument(faults)
    return tuple(rows)


def _row(number: int, columns: Sequence[str], record: Sequence[str], faults: list[Fault]) -> AskedRow | None:
    cells = {column: cell for column, cell in zip(columns, record, strict=False) if column}
    found = [
        Fault(f"/rows/{number}", f"{shown(cell)} stands beyond the last column", f"{len(columns)} cells")
        for cell in record[len(columns) :] if cell.strip()
    ]  # fmt: skip
    weldment, name, customer = (plain(cells.get(column, "")) for column in ("weldment", "name", "customer"))
    found += limits.name_faults(f"/rows/{number}/weldment", weldment or None)
    found += limits.name_faults(f"/rows/{number}/name", name)
    found += limits.name_faults(f"/rows/{number}/customer", customer)
    quantity, cell = 0, cells.get("quantity", "").strip()
    try:
        quantity = whole(cell)
        found += limits.QUANTITY.faults(f"/rows/{number}/quantity", quantity)
    except Unreadable as error:
        wrong = f"{shown(cell)} {error}" if cell else "is empty"
        found.append(Fault(f"/rows/{number}/quantity", wrong, limits.QUANTITY.accepted))
    faults += found
    return None if found else AskedRow(number, weldment, quantity, name, customer)


def written(lines: Sequence[Mapping[str, Any]], separator: Separator = ",") -> bytes:
    """Return the lines of a quote document as CSV bytes; amounts in the currency's main unit, two decimals."""
    return table((QUOTED, *(_cells(line, separator) for line in lines)), separator)


def _cells(line: Mapping[str, Any], separator: Separator) -> list[str | int]:
    short, even, plan = line["short"] or {}, line["break_even"] or {}, line["plan"] or {}
    pieces = ", ".join(f"{each['count']} {each['item']}" for each in short.get("pieces", ()))
    gap, hours = line["gap"], line["setup_hours"]
    return [
        line["line"], line["name"], line["customer"], line["weldment"], line["quantity"], line["status"] or "",
        _money(line["piece_cents"], separator), _money(line["lot_cents"], separator),
        "" if gap is None else _decimal(f"{100 * gap:.2f}", separator),
        "" if hours is None else _decimal(f"{hours:.2f}", separator),
        _shown(line["cycle_s"]), pieces, _money(short.get("buying_cents"), separator), _money(line["by_hand_cents"], separator),
        _money(line["dedicated_cents"], separator), line["cheapest_way"] or "",
        _crossing(even, "by_hand_from"), _crossing(even, "dedicated_up_to"), plan.get("id", ""), "; ".join(line["because"]),
    ]  # fmt: skip


def _crossing(even: Mapping[str, Any], name: str) -> str | int:
    if not even:
        return ""
    return "never" if even[name] is None else even[name]


def _money(cents: int | None, separator: Separator) -> str:
    return "" if cents is None else _decimal(f"{cents // 100}.{cents % 100:02d}", separator)


def _decimal(text: str, separator: Separator) -> str:
    return text.replace(".", ",") if separator == ";" else text


def _shown(value: int | None) -> str | int:
    return "" if value is None else value
