"""Measured times as CSV, a row for each time a plan was set up or run: setup in minutes, cycle in seconds a weldment."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import date
from typing import Any

from inventory import limits
from inventory.errors import Fault, InvalidDocument
from inventory.limits import Limit, shown
from service.documents.shop_floor.reports import ARC_SECONDS, COUNT, SECONDS
from service.exchange.cells import Unreadable, number, plain, whole
from service.exchange.csv_rows import MOST_FAULTS, beyond, heading_faults, headings, rows_of, text_of

COLUMNS = (
    "plan", "rank", "setup_minutes", "setups", "set_before", "cycle_s", "arc_s", "pieces", "measured_on", "note",
)  # fmt: skip
REQUIRED = ("plan",)
MOST_ROWS = 2000
NOTE_LENGTH = 1000
_MINUTES = Limit(0.01, 16_000, "minutes")


@dataclass(frozen=True, slots=True)
class MeasuredRow:
    """One row: what was measured at one alternative of a plan; None where the file does not say.

    `setup_s` is the mean of `setups`, `cycle_s` that of `pieces` weldments, with `arc_s` seconds of arc in it.
    """

    row: int
    plan: str
    rank: int = 1
    setup_s: float | None = None
    setups: int = 1
    set_before: bool | None = None
    cycle_s: float | None = None
    arc_s: float = 0.0
    pieces: int = 1
    measured_on: date | None = None
    note: str = ""


def read(raw: bytes) -> list[MeasuredRow]:
    """Return the rows of a list; raises InvalidDocument with every fault, at pointers ``/rows/<row>/<column>``."""
    records = rows_of(text_of(raw))
    heading_row, heading = next(records, (1, []))
    columns = headings(heading)
    faults = list(heading_faults(heading_row, columns, COLUMNS, REQUIRED))
    if not {"setup_minutes", "cycle_s"} & set(columns):
        faults.append(Fault(f"/rows/{heading_row}", "no column has a measured time", "setup_minutes, cycle_s, or both"))
    if faults:
        raise InvalidDocument(faults)
    rows: list[MeasuredRow] = []
    for line, record in records:
        row, wrong = _row(line, columns, record)
        faults += wrong
        if row is not None:
            rows.append(row)
        if len(rows) > MOST_ROWS or len(faults) > MOST_FAULTS:
            faults.append(Fault(f"/rows/{line}", "too many rows or faults; reading ends here", f"at most {MOST_ROWS:,} rows"))
            break
    if faults:
        raise InvalidDocument(faults)
    return rows


def _row(line: int, columns: Sequence[str], record: Sequence[str]) -> tuple[MeasuredRow | None, list[Fault]]:
    cells = {column: cell for column, cell in zip(columns, record, strict=False) if column}
    faults = list(beyond(line, columns, record))
    values: dict[str, Any] = {"plan": plain(cells.get("plan", ""))}
    faults += limits.id_faults(f"/rows/{line}/plan", values["plan"])
    for column, field, reader, limit in _CELLS:
        cell = cells.get(column, "").strip()
        if cell == "":
            continue
        try:
            values[field] = reader(cell)
        except Unreadable as error:
            faults.append(Fault(f"/rows/{line}/{column}", f"{shown(cell)} {error}", _ACCEPTED.get(column) or limit.accepted))
            continue
        faults += [] if limit is _ANY else limit.faults(f"/rows/{line}/{column}", values[field])
    if not {"setup_minutes", "cycle_s"} & {column for column, cell in cells.items() if cell.strip()}:
        faults.append(Fault(f"/rows/{line}", "nothing was measured", "setup_minutes, cycle_s, or both"))
    if faults:
        return None, faults
    minutes = values.pop("setup_minutes", None)
    return MeasuredRow(line, **values, setup_s=None if minutes is None else round(minutes * 60, 3)), []


def _real(cell: str) -> float:
    return float(number(cell))


def _yes_or_no(cell: str) -> bool:
    word = plain(cell).lower()
    if word not in _WORDS:
        raise Unreadable("is neither yes nor no")
    return _WORDS[word]


def _day(cell: str) -> date:
    try:
        return date.fromisoformat(plain(cell))
    except ValueError:
        raise Unreadable("is not a day") from None


def _text(cell: str) -> str:
    text = plain(cell)
    if len(text) > NOTE_LENGTH:
        raise Unreadable(f"has {len(text)} characters")
    if (character := limits.unprintable(text)) is not None:
        raise Unreadable(f"holds the control character U+{ord(character):04X}")
    return text


_WORDS = {"yes": True, "true": True, "1": True, "no": False, "false": False, "0": False}
_ANY = Limit(0, 0)
_ACCEPTED = {
    "set_before": "yes or no",
    "measured_on": "a calendar day as YYYY-MM-DD",
    "note": f"at most {NOTE_LENGTH:,} characters, none of them a control character",
}
_CELLS: tuple[tuple[str, str, Callable[[str], Any], Limit], ...] = (
    ("rank", "rank", whole, limits.RANK),
    ("setup_minutes", "setup_minutes", _real, _MINUTES),
    ("setups", "setups", whole, COUNT),
    ("set_before", "set_before", _yes_or_no, _ANY),
    ("cycle_s", "cycle_s", _real, SECONDS),
    ("arc_s", "arc_s", _real, ARC_SECONDS),
    ("pieces", "pieces", whole, COUNT),
    ("measured_on", "measured_on", _day, _ANY),
    ("note", "note", _text, _ANY),
)
