"""Document files on disk: read with a size limit, written whole or not at all, laid out to be read."""

from __future__ import annotations

import json
import os
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any, BinaryIO

from inventory.errors import Fault, InvalidDocument

LARGEST_FILE = 20_000_000
_LINE = 130


def read_bytes(path: Path, largest: int = LARGEST_FILE) -> bytes:
    """Return a file's bytes.

    Raises
    ------
    InvalidDocument
        If the file cannot be read or is larger than `largest` bytes.
    """
    try:
        with path.open("rb") as file:
            content = file.read(largest + 1)
    except OSError as error:
        raise InvalidDocument([Fault("", f"cannot be read: {error.strerror or error}", "a readable file")]) from None
    if len(content) > largest:
        raise InvalidDocument([Fault("", f"is larger than {largest:,} bytes", f"at most {largest:,} bytes")])
    return content


def write_text(path: Path, text: str) -> None:
    """Write a text file, as `write_bytes` does."""
    write_bytes(path, text.encode())


def write_bytes(path: Path, content: bytes) -> None:
    """Write a file so that a reader sees the old content or the new, never half of it; raises OSError."""
    mask = os.umask(0)
    os.umask(mask)
    with written_whole(path, 0o666 & ~mask) as file:
        file.write(content)


@contextmanager
def written_whole(path: Path, mode: int) -> Iterator[BinaryIO]:
    """Open a file to write that takes its place, with these permissions, once all of it is on disk; raises OSError.

    If anything is raised meanwhile, whatever was there before stays as it was.
    """
    target = path.resolve()
    handle, temporary = tempfile.mkstemp(dir=target.parent, prefix=f".{target.name}.")
    try:
        with os.fdopen(handle, "wb") as file:
            yield file
            file.flush()
            os.fsync(file.fileno())
        os.chmod(temporary, mode)
        os.replace(temporary, target)
    except BaseException:
        os.unlink(temporary)
        raise


def laid_out(value: Any, indent: int = 0) -> str:
    """Return a document as JSON text: what fits a line stays on one line, so points and matrices read as such."""
    flat = json.dumps(value, ensure_ascii=False, allow_nan=False)
    if len(flat) + indent <= _LINE or not isinstance(value, dict | list):
        return flat
    pad = " " * (indent + 1)
    if isinstance(value, dict):
        lines = [f"{json.dumps(key, ensure_ascii=False)}: {laid_out(entry, indent + 1)}" for key, entry in value.items()]
        opening, closing = "{", "}"
    else:
        lines = [laid_out(entry, indent + 1) for entry in value]
        opening, closing = "[", "]"
    return opening + "\n" + ",\n".join(pad + line for line in lines) + "\n" + " " * indent + closing
