"""What a file is, by its first bytes: one of the kinds that are read, or something else that is called by its name."""

from __future__ import annotations

import re
from collections.abc import Mapping
from pathlib import PurePath

from inventory.errors import Fault, InvalidDocument
from inventory.limits import shown
from service.documents.weldment_files.words import FileKind

_LOOKED_AT = 8192
"""Bytes of a file that are looked at."""
_OTHERS: tuple[tuple[bytes, str], ...] = (
    (b"PK\x03\x04", "a zip archive"),
    (b"PK\x05\x06", "a zip archive"),
    (b"\x1f\x8b", "a gzip archive"),
    (b"BZh", "a bzip2 archive"),
    (b"\xfd7zXZ\x00", "an xz archive"),
    (b"\x28\xb5\x2f\xfd", "a zstandard archive"),
    (b"7z\xbc\xaf\x27\x1c", "a 7z archive"),
    (b"Rar!", "a rar archive"),
    (b"%PDF", "a PDF document"),
    (b"%!PS", "a PostScript document"),
    (b"\x89PNG", "a PNG picture"),
    (b"\xff\xd8\xff", "a JPEG picture"),
    (b"GIF8", "a GIF picture"),
    (b"II*\x00", "a TIFF picture"),
    (b"MM\x00*", "a TIFF picture"),
    (b"glTF", "a glTF model"),
    (b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1", "a compound file, as programs keep their own models in"),
    (b"AC10", "a native drawing, not its DXF"),
    (b"AC1.", "a native drawing, not its DXF"),
    (b"**ABCDE", "a native solid model"),
    (b"SQLite format 3", "a database"),
    (b"\x7fELF", "a program"),
    (b"MZ", "a program"),
)
"""How files begin that are sometimes sent in place of what is read."""
_STEP = re.compile(rb"\s*ISO-10303-21\s*;")
_DXF = re.compile(rb"\s*(?:999[ \t]*\r?\n[^\n]*\n\s*)*0[ \t]*\r?\n\s*SECTION\b")
_BINARY_DXF = b" Binary DXF\r\n\x1a\x00"
_TEXTS: tuple[tuple[re.Pattern[bytes], str], ...] = (
    (re.compile(rb"\s*\{"), "a JSON document"),
    (re.compile(rb"\s*<"), "an XML or HTML document"),
    (re.compile(rb"solid\b[^\n]*\n\s*facet"), "a mesh of triangles (STL)"),
    (re.compile(rb"[^\n]{72}S {0,6}\d+\s*\n"), "an IGES file"),
)
READ: Mapping[FileKind, str] = {
    "step": "a STEP file, which begins with ISO-10303-21;",
    "dxf": "a DXF drawing, which begins with 0 and SECTION",
    "csv": "a cut list, cells separated by commas, semicolons or tabs",
}
"""What is read, in words."""
SUFFIXES: Mapping[str, FileKind] = {
    ".step": "step", ".stp": "step", ".p21": "step", ".dxf": "dxf", ".csv": "csv",
}  # fmt: skip
"""What a file is by the ending of its name."""


def kind_of(content: bytes, name: str = "", declared: FileKind | None = None) -> FileKind:
    """Return what a file is, which must be what its name's ending says, or what it was declared as.

    Parameters
    ----------
    content : bytes
        The file; its first bytes count.
    name : str
        Its name; an ending that is not known says nothing.
    declared : FileKind or None
        What it was sent as, in place of an ending.

    Raises
    ------
    InvalidDocument
        If it is no file that is read; the fault says what it is.
    """
    said = SUFFIXES.get(PurePath(name).suffix.lower(), declared)
    accepted = READ[said] if said is not None else "; ".join(READ.values())
    if not content.strip(b"\x00 \t\r\n"):
        raise InvalidDocument([Fault("", "the file is empty" if not content else "the file holds nothing but blanks", accepted)])
    found = _by_content(content[:_LOOKED_AT])
    if found is None or (said is not None and found != said):
        what = f"the file is {READ[found].partition(',')[0]}" if found is not None else _instead(content[:_LOOKED_AT])
        called = f", though it is called {shown(name)}" if said is not None and name else ""
        raise InvalidDocument([Fault("", f"{what}{called}", accepted)])
    return found


def _by_content(head: bytes) -> FileKind | None:
    if head[7:].startswith(_BINARY_DXF):
        return "dxf"
    text = _text(head)
    if text is None or any(head.startswith(magic) for magic, _ in _OTHERS):
        return None
    if _STEP.match(text):
        return "step"
    if _DXF.match(text):
        return "dxf"
    if any(pattern.match(text) for pattern, _ in _TEXTS):
        return None
    first = text.strip().partition(b"\n")[0]
    return "csv" if any(separator in first for separator in (b",", b";", b"\t")) else None


def _text(head: bytes) -> bytes | None:
    """Return the beginning of a text as UTF-8, None if it is no text."""
    for mark, coding in ((b"\xff\xfe", "utf-16-le"), (b"\xfe\xff", "utf-16-be")):
        if head.startswith(mark):
            return head[2:].decode(coding, "replace").encode("utf-8", "replace")
    return None if b"\x00" in head else head.removeprefix(b"\xef\xbb\xbf")


def _instead(head: bytes) -> str:
    for magic, what in _OTHERS:
        if head.startswith(magic):
            return f"the file is {what}"
    text = _text(head)
    if text is None:
        return "the file holds bytes of no kind that is known"
    for pattern, what in _TEXTS:
        if pattern.match(text):
            return f"the file is {what}"
    return f"the file is of no kind that is known; it begins with {shown(text[:40].decode('utf-8', 'replace'))}"
