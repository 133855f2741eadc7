"""Stock lists as CSV, written so that spreadsheets show them and read as spreadsheets leave them.

Reading takes a byte-order mark or none, commas, semicolons or tabs, decimal commas, blanks between thousands, and finds every
fault at once by row, numbered as the spreadsheet numbers them (the heading is row 1).
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass
from itertools import islice
from typing import Any

from inventory import limits
from inventory.errors import Fault, InvalidDocument
from inventory.limits import shown
from service.exchange.cells import Separator, Unreadable, cents, plain, table, whole
from service.exchange.csv_rows import MOST_FAULTS, beyond, heading_faults, headings, rows_of, text_of

COLUMNS = ("item", "name", "kind", "bin", "count", "out_of_service", "price", "day_rate", "version")
REQUIRED = ("item", "count")
MOST_ROWS = 20_000


@dataclass(frozen=True, slots=True)
class StockRow:
    """One row: what was counted of one item; None where the file does not say.

    `version` is the stock line's version when the list was written, to notice changes made since.
    """

    row: int
    item: str
    count: int
    out_of_service: int | None = None
    bin: str | None = None
    price_cents: int | None = None
    day_rate_cents: int | None = None
    version: int | None = None
    name: str | None = None
    kind: str | None = None


def written(rows: Iterable[StockRow], separator: Separator = ",") -> bytes:
    """Return a stock list as CSV bytes: UTF-8 with a byte-order mark; decimal commas go with semicolons."""
    return table((COLUMNS, *(_cells(row, separator) for row in rows)), separator)


def _cells(row: StockRow, separator: Separator) -> Iterator[str | int]:
    yield from (row.item, row.name or "", row.kind or "", row.bin or "", row.count, _or_empty(row.out_of_service))
    yield from (_money(row.price_cents, separator), _money(row.day_rate_cents, separator), _or_empty(row.version))


def read(raw: bytes) -> tuple[list[StockRow], list[Fault]]:
    """Return the sound rows of a stock list and every fault found; pointers are ``/rows/<row>/<column>``.

    Raises
    ------
    InvalidDocument
        If the file cannot be read as a table at all.
    """
    records = rows_of(text_of(raw))
    heading_row, heading = next(records, (1, []))
    columns = headings(heading)
    faults = list(heading_faults(heading_row, columns, COLUMNS, REQUIRED))
    if faults:
        raise InvalidDocument(faults)
    rows: list[StockRow] = []
    seen: dict[str, int] = {}
    for number, record in records:
        row, wrong = _row(number, columns, record)
        faults += wrong
        if row is not None and row.item in seen:
            here = f"/rows/{number}/item"
            faults.append(Fault(here, f"{shown(row.item)} stands in row {seen[row.item]} already", "each item once"))
        elif row is not None:
            seen[row.item] = number
            rows.append(row)
        if len(rows) > MOST_ROWS or len(faults) > MOST_FAULTS:
            faults.append(Fault(f"/rows/{number}", "too many rows or faults; reading ends here", f"at most {MOST_ROWS:,} rows"))
            break
    return rows, faults


def as_written(raw: bytes) -> list[tuple[int, list[str]]]:
    """Return the rows that hold anything with their numbers, the heading first, each cell as it stands there.

    Raises
    ------
    InvalidDocument
        If the file cannot be read as a table at all.
    """
    return list(islice(rows_of(text_of(raw)), MOST_ROWS + 1))


def _row(number: int, columns: Sequence[str], record: Sequence[str]) -> tuple[StockRow | None, list[Fault]]:
    cells = {column: cell for column, cell in zip(columns, record, strict=False) if column}
    faults = list(beyond(number, columns, record))
    values: dict[str, Any] = {"item": plain(cells.get("item", ""))}
    faults += limits.id_faults(f"/rows/{number}/item", values["item"])
    for column in ("bin", "name", "kind"):
        if column in cells:
            values[column] = plain(cells[column])
            faults += limits.name_faults(f"/rows/{number}/{column}", values[column])
    for column, field, reader, limit in _NUMBERS:
        cell = cells.get(column, "").strip()
        if cell == "" and column not in REQUIRED:
            continue
        try:
            values[field] = reader(cell)
            faults += limit.faults(f"/rows/{number}/{column}", values[field])
        except Unreadable as error:
            faults.append(Fault(f"/rows/{number}/{column}", f"{shown(cell)} {error}" if cell else "is empty", limit.accepted))
    if not faults and (values.get("out_of_service") or 0) > values["count"]:
        wrong = f"{values['out_of_service']} of {values['count']} pieces"
        faults.append(Fault(f"/rows/{number}/out_of_service", wrong, f"at most the count, {values['count']}"))
    return (None if faults else StockRow(row=number, **values)), faults


_NUMBERS: tuple[tuple[str, str, Callable[[str], int], limits.Limit], ...] = (
    ("count", "count", whole, limits.PIECES),
    ("out_of_service", "out_of_service", whole, limits.PIECES),
    ("price", "price_cents", cents, limits.CENTS),
    ("day_rate", "day_rate_cents", cents, limits.CENTS),
    ("version", "version", whole, limits.VERSION),
)


def _money(amount: int | None, separator: Separator) -> str:
    if amount is None:
        return ""
    return f"{amount // 100}{',' if separator == ';' else '.'}{amount % 100:02d}"


def _or_empty(value: int | None) -> str:
    return "" if value is None else str(value)
