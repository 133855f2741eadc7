"""Lists from spreadsheets, whoever wrote them: their text, their rows with numbers, what is wrong with their headings."""

from __future__ import annotations

import csv
import io
from collections.abc import Iterator, Sequence

from inventory.errors import Fault, InvalidDocument
from inventory.limits import shown

MOST_BYTES = 5_000_000
MOST_FAULTS = 1000


def text_of(raw: bytes) -> str:
    """Return the text of a file; raises InvalidDocument if it is too large or no UTF-8 or UTF-16."""
    if len(raw) > MOST_BYTES:
        raise InvalidDocument([Fault("", f"{len(raw):,} bytes", f"at most {MOST_BYTES:,} bytes")])
    wide = raw.startswith((b"\xff\xfe", b"\xfe\xff"))
    try:
        return raw.decode("utf-16" if wide else "utf-8-sig")
    except UnicodeDecodeError as error:
        row = raw[: error.start].count(b"\n") + 1
        wrong = f"the text is not {'UTF-16, as its first two bytes say' if wide else 'UTF-8'}"
        raise InvalidDocument([Fault(f"/rows/{row}", wrong, "a file saved as `CSV UTF-8`")]) from None


def rows_of(text: str) -> Iterator[tuple[int, list[str]]]:
    """Yield the rows that hold anything, with their numbers, whatever the separator; raises InvalidDocument."""
    lines = text.splitlines(keepends=True)
    named = lines[0].strip().lower() if lines else ""
    skipped = 1 if named.startswith("sep=") else 0
    heading = lines[skipped] if len(lines) > skipped else ""
    separator = max(";,\t", key=heading.count) if skipped == 0 or named[4:5] not in tuple(";,\t") else named[4]
    reader = csv.reader(io.StringIO("".join(lines[skipped:]), newline=""), delimiter=separator, strict=True)
    number = skipped
    try:
        for record in reader:
            number += 1
            if any(cell.strip() for cell in record):
                yield number, record
    except csv.Error as error:
        raise InvalidDocument([Fault(f"/rows/{number + 1}", f"not CSV: {error}", "cells in pairs of quotation marks")]) from None


def headings(cells: Sequence[str]) -> list[str]:
    """Return the columns a heading names, as they are compared."""
    return [cell.strip().lower().replace(" ", "_") for cell in cells]


def heading_faults(row: int, columns: Sequence[str], known: Sequence[str], required: Sequence[str]) -> Iterator[Fault]:
    """Yield columns that are unknown, there twice or missing."""
    accepted = "the columns " + ", ".join(known)
    before: set[str] = set()
    for column in columns:
        if column and column not in known:
            yield Fault(f"/rows/{row}", f"there is no column {shown(column)}", accepted)
        elif column and column in before:
            yield Fault(f"/rows/{row}", f"the column {column} is there twice", "each column once")
        before.add(column)
    for column in required:
        if column not in columns:
            yield Fault(f"/rows/{row}", f"the column {column} is missing", accepted)


def beyond(number: int, columns: Sequence[str], record: Sequence[str]) -> Iterator[Fault]:
    """Yield cells of a row that stand beyond its last column."""
    for cell in record[len(columns) :]:
        if cell.strip():
            yield Fault(f"/rows/{number}", f"{shown(cell)} stands beyond the last column", f"{len(columns)} cells")
