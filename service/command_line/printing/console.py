"""What the command line prints: faults one a line and notes on standard error, tables and documents on standard output."""

from __future__ import annotations

import json
import os
import sys
from collections.abc import Iterable, Sequence
from pathlib import Path
from typing import Any

from inventory.errors import Fault, InvalidDocument
from service.files import LARGEST_FILE, read_bytes
from service.text import printable
from service.text_table import Column, table_lines, wrapped

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


def print_table(columns: Sequence[Column | str], rows: Sequence[Sequence[object]], none: str) -> None:
    """Print a table on standard output, as wide as the terminal: texts left, whole numbers right.

    Parameters
    ----------
    columns : sequence of Column or str
        A word alone is the heading of ids, which are never folded.
    rows : sequence of sequence
        A cell for each column; None is left empty.
    none : str
        What is printed if there are no rows.
    """
    if not rows:
        print(none)
        return
    shown = [[printable(str("" if cell is None else cell)) for cell in row] for row in rows]
    numeric = [all(isinstance(cell, int) for cell in cells) for cells in zip(*rows, strict=True)]
    declared = [
        column if isinstance(column, Column) else Column(column, right=number)
        for column, number in zip(columns, numeric, strict=True)
    ]
    for line in table_lines(declared, shown, line_width()):
        print(line)


def line_width() -> int | None:
    """Return how many characters a line may have: as COLUMNS says, else the terminal; None where nobody reads on a terminal."""
    asked = os.environ.get("COLUMNS", "")
    if asked.isdecimal() and int(asked):
        return int(asked)
    try:
        return os.get_terminal_size(sys.stdout.fileno()).columns or 80
    except (OSError, ValueError):  # a pipe or a file, or no descriptor at all
        return None


def print_wrapped(text: str, indent: str = "") -> None:
    """Print a text on standard output, folded between words; what goes on is indented."""
    width = line_width()
    print("\n".join([text] if width is None else wrapped(text, width, indent)))


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
