"""A stored weldment as values: its versions, who made each, the file one was read from."""

from __future__ import annotations

import json
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from solver.weldment import StoredVersion


@dataclass(frozen=True, slots=True)
class SourceFile:
    """The file a weldment was read from: what it was called, its kind, and the SHA-256 of its bytes, in hexadecimal."""

    name: str
    kind: str = ""
    fingerprint: str = ""


@dataclass(frozen=True, slots=True)
class KeptWeldment:
    """A stored weldment in a list; `newest` is the number of its newest version, `name` what that one calls it."""

    id: str
    name: str
    newest: int


@dataclass(frozen=True, slots=True)
class WeldmentVersion:
    """What a stored weldment is from one change to the next; it never changes.

    Parameters
    ----------
    weldment, number : str, int
        The stored weldment's id, and which of its versions it is, from 1.
    text : str
        The weldment document as it was given, compact JSON without `stored`; empty in lists.
    fingerprint : str
        SHA-256 of what it says, in whichever unit and order of fields it was given.
    name, parts, welds : str, int, int
        What the document calls it; how many parts and welds it has.
    by, why, at : str, str, datetime
        Who stored it, for what reason, when.
    source : SourceFile or None
        The file it was read from.
    """

    weldment: str
    number: int
    text: str
    fingerprint: str
    name: str
    parts: int
    welds: int
    by: str
    why: str
    at: datetime
    source: SourceFile | None = None

    @property
    def stored(self) -> StoredVersion:
        """What it is named by."""
        return StoredVersion(self.weldment, self.number, self.fingerprint)

    def document(self) -> Mapping[str, Any]:
        """Return the weldment document as it was given, plain values."""
        document: dict[str, Any] = json.loads(self.text)
        return document
