"""What the command line says on standard error: faults one a line, notes, never a control character from a document."""

from __future__ import annotations

import sys
from collections.abc import Iterable
from pathlib import Path

from inventory.errors import Fault, InvalidDocument
from service.files import LARGEST_FILE, read_bytes
from service.text import printable

BAD_INPUT = 2


def note(text: str) -> None:
    """Print one line to standard error."""
    print(printable(text), file=sys.stderr)


def complain(source: object, faults: Iterable[Fault]) -> int:
    """Print every fault on a line of its own (where, what is wrong, what would be accepted); return the exit code."""
    for fault in faults:
        where = f"{source}#{fault.pointer}" if fault.pointer else str(source)
        note(f"{where}: {fault.wrong}; accepted: {fault.accepted}")
    return BAD_INPUT


def read_input(path: Path) -> bytes:
    """Return the bytes of a file, or of standard input for ``-``; raises `InvalidDocument`."""
    if path != Path("-"):
        return read_bytes(path)
    content = sys.stdin.buffer.read(LARGEST_FILE + 1)
    if len(content) > LARGEST_FILE:
        raise InvalidDocument([Fault("", f"is larger than {LARGEST_FILE:,} bytes", f"at most {LARGEST_FILE:,} bytes")])
    return content
