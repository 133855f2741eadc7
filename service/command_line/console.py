"""What the command line prints: faults one a line and notes on standard error, tables and documents on standard output."""

from __future__ import annotations

import json
import sys
from collections.abc import Iterable, Sequence
from pathlib import Path
from typing import Any

from inventory.errors import Fault, InvalidDocument
from service.files import LARGEST_FILE, read_bytes
from service.text import printable

DONE, REFUSED, BAD_INPUT = 0, 1, 2
"""Exit codes: done; no plan, a failed check or refused as things stand; bad input or a store that cannot be used."""


def note(text: str) -> None:
    """Print one line to standard error."""
    print(printable(text), file=sys.stderr)


def complain(source: object, faults: Iterable[Fault]) -> None:
    """Print every fault on a line of its own: where, what is wrong, what would be accepted; a list's rows by row and column."""
    for fault in faults:
        steps = fault.pointer.split("/")
        if steps[1:2] == ["rows"] and len(steps) > 2:
            where = f"row {steps[2]}" + (f", {steps[3]}" if len(steps) > 3 else "")
        else:
            where = f"{source}#{fault.pointer}" if fault.pointer else str(source)
        note(f"{where}: {fault.wrong}; accepted: {fault.accepted}")


def print_table(headings: Sequence[str], rows: Sequence[Sequence[object]]) -> None:
    """Print a plain table on standard output: texts left, numbers right."""
    shown = [[printable(str("" if cell is None else cell)) for cell in row] for row in rows]
    numeric = [all(isinstance(cell, int) for cell in column) for column in zip(*rows, strict=True)]
    widths = [max(map(len, column)) for column in zip(headings, *shown, strict=True)]
    for row in (list(headings), *shown):
        cells = [
            cell.rjust(width) if index < len(numeric) and numeric[index] else cell.ljust(width)
            for index, (cell, width) in enumerate(zip(row, widths, strict=True))
        ]
        print("  ".join(cells).rstrip())


def print_json(document: Any) -> None:
    """Print a document on standard output."""
    json.dump(document, sys.stdout, ensure_ascii=False, indent=1)
    print()


def read_input(path: Path) -> bytes:
    """Return the bytes of a file, or of standard input for ``-``; raises `InvalidDocument`."""
    if path != Path("-"):
        return read_bytes(path)
    content = sys.stdin.buffer.read(LARGEST_FILE + 1)
    if len(content) > LARGEST_FILE:
        raise InvalidDocument([Fault("", f"is larger than {LARGEST_FILE:,} bytes", f"at most {LARGEST_FILE:,} bytes")])
    return content
