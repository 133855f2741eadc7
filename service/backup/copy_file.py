"""A copy as a file: JSON documents, one a line, compressed with gzip; its end says what there must be.

{"format": "holdwright.backup/1", "release": ..., "made_at": ..., "kind": ..., "revisions": {...}}
{"table": "items", "columns": [...], "counter": ...}
[...]                                                       a line for each row, then the next table
{"rows": {"items": 12, ...}, "sha256": ...}                 of all lines before, as they are uncompressed
"""

from __future__ import annotations

import gzip
import hashlib
import json
import zlib
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import UTC, datetime
from typing import Any, BinaryIO

from inventory.store.copies import CopiedDatabase, CopiedTable, Row
from inventory.store.errors import WrongCopy
from service.release import release

FORMAT = "holdwright.backup/1"
_LONGEST_LINE = 400_000_000
"""No row is longer: a request and its plan have some megabytes at most. A line that is longer is not read on."""


@dataclass(frozen=True, slots=True)
class CopySummary:
    """What a copy holds: which program made it when, from which kind of database, how many rows each table has, the checksum."""

    release: str
    made_at: datetime
    kind: str
    rows: dict[str, int]
    sha256: str


def write_copy(file: BinaryIO, database: CopiedDatabase) -> CopySummary:
    """Write a copy and return what it holds."""
    made_at, digest, rows = datetime.now(UTC), hashlib.sha256(), dict[str, int]()
    with gzip.GzipFile(fileobj=file, mode="wb", compresslevel=6, mtime=0) as packed:

        def line(document: Any) -> None:
            text = _line(document)
            digest.update(text)
            packed.write(text)

        head = {"format": FORMAT, "release": release(), "made_at": made_at.isoformat()}
        line({**head, "kind": database.kind, "revisions": dict(database.revisions)})
        for table in database.tables:
            line({"table": table.name, "columns": table.columns, "counter": table.counter})
            rows[table.name] = 0
            for row in table.rows:
                line(row)
                rows[table.name] += 1
        packed.write(_line({"rows": rows, "sha256": digest.hexdigest()}))
    return CopySummary(release(), made_at, database.kind, rows, digest.hexdigest())


class CopyReader:
    """Reads a copy from its first line to its last; `summary` is there once all of it was read and is as its end says.

    Raises WrongCopy at whatever is not as it should be.
    """

    def __init__(self, file: BinaryIO) -> None:
        self._lines = _unpacked(file)
        self._digest = hashlib.sha256()
        self._rows: dict[str, int] = {}
        self._head = self._document(next(self._lines, b""))
        head = self._head
        if not isinstance(head, dict) or not str(head.get("format", "")).startswith("holdwright.backup/"):
            raise WrongCopy("the file is no copy made by `holdwright backup`")
        if head["format"] != FORMAT:
            raise WrongCopy(
                f"the copy has the form {head['format'][:60]}, this program reads {FORMAT}: install the newer version"
            )
        self.summary: CopySummary | None = None

    def database(self) -> CopiedDatabase:
        """Return what is in the copy; its tables are read as they are asked for."""
        revisions = self._head.get("revisions")
        if not isinstance(revisions, dict):
            raise WrongCopy("the copy does not say which schema it has")
        return CopiedDatabase(str(self._head.get("kind")), revisions, self._tables())

    def _tables(self) -> Iterator[CopiedTable]:
        document = self._next()
        while "table" in document:
            name, columns, counter = document["table"], document.get("columns"), document.get("counter")
            if not isinstance(columns, list) or not all(isinstance(each, str) for each in (name, *columns)):
                raise WrongCopy("the copy was changed: it has a table without name or columns")
            if name in self._rows or not isinstance(counter, int | None):
                raise WrongCopy("the copy was changed: it has a table twice, or one without its counter")
            self._rows[name] = 0
            ended: list[dict[str, Any]] = []
            yield CopiedTable(name, tuple(columns), counter, self._rows_of(name, ended))
            document = ended[0]
        self._close(document)

    def _rows_of(self, table: str, ended: list[dict[str, Any]]) -> Iterator[Row]:
        while isinstance(document := self._next_line(), list):
            self._rows[table] += 1
            yield document
        ended.append(document)

    def _close(self, end: dict[str, Any]) -> None:
        if end.get("rows") != self._rows:
            raise WrongCopy("the copy has not the rows its end says")
        head = self._head
        made_at = datetime.fromisoformat(str(head.get("made_at")))
        self.summary = CopySummary(str(head.get("release")), made_at, str(head.get("kind")), self._rows, str(end.get("sha256")))

    def _next(self) -> dict[str, Any]:
        document = self._next_line()
        if not isinstance(document, dict):
            raise WrongCopy("the copy has rows that belong to no table")
        return document

    def _next_line(self) -> Any:
        line = next(self._lines, None)
        if line is None:
            raise WrongCopy("the copy is cut short: its end is missing")
        if line.startswith(b'{"rows":'):
            document = json.loads(line)
            if document.get("sha256") != self._digest.hexdigest():
                raise WrongCopy("the copy was changed: its checksum is another")
            if next(self._lines, None) is not None:
                raise WrongCopy("something stands behind the end of the copy")
            return document
        return self._document(line)

    def _document(self, line: bytes) -> Any:
        self._digest.update(line)
        try:
            return json.loads(line)
        except ValueError:
            raise WrongCopy("the file is no copy made by `holdwright backup`, or was changed: a line is no JSON") from None


def _line(document: Any) -> bytes:
    return json.dumps(document, allow_nan=False, separators=(",", ":")).encode("ascii") + b"\n"


def _unpacked(file: BinaryIO) -> Iterator[bytes]:
    try:
        with gzip.GzipFile(fileobj=file, mode="rb") as packed:
            while line := packed.readline(_LONGEST_LINE):
                if not line.endswith(b"\n"):
                    raise WrongCopy("the copy is cut short, or a line of it has no end")
                yield line
    except (EOFError, gzip.BadGzipFile, zlib.error) as error:
        raise WrongCopy(f"the file is no copy made by `holdwright backup`, or it is cut short or was changed ({error})") from None
