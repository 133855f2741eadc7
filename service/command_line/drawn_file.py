"""Where a drawing goes and in which format, as commands are told it: by name, else by the ending of the file."""

from __future__ import annotations

import sys
from pathlib import Path

from inventory.errors import Fault
from service.command_line.exit_code import read_from
from service.command_line.plan import STANDARD_OUTPUT
from service.drawings.file_format import Drawn, FileFormat, Formats, by_ending, by_name, installed
from service.errors import InvalidSource
from service.files import write_bytes


def wanted_format(formats: Formats[Drawn], out: Path, name: str | None) -> FileFormat[Drawn]:
    """Return the format that is asked for by name, else by the ending of the file; raises InvalidSource."""
    if name is not None:
        with read_from("--format"):
            return by_name(formats, name)
    if out == STANDARD_OUTPUT:
        names = "one of " + ", ".join(installed(formats))
        raise InvalidSource("--format", [Fault("", "is missing: standard output has no ending", names)])
    with read_from(out):
        return by_ending(formats, out)


def write_content(out: Path, content: bytes) -> None:
    """Write a drawing to a file or to standard output."""
    if out == STANDARD_OUTPUT:
        sys.stdout.buffer.write(content)
    else:
        write_bytes(out, content)
