"""A weldment document read to be stored: as it was given, and what is known of it."""

from __future__ import annotations

from dataclasses import dataclass

from inventory.errors import Fault, InvalidDocument, refuse
from service.documents import read_weldment
from service.documents.reading.text import read_text
from service.documents.weldment import weldment_fingerprint
from service.records.jobs import as_text


@dataclass(frozen=True, slots=True)
class ReadWeldment:
    """A sound weldment document.

    Parameters
    ----------
    text : str
        As it was given, compact JSON without `stored`.
    fingerprint : str
        SHA-256 of what it says, in hexadecimal.
    name, parts, welds : str, int, int
        What it is called; how many parts and welds it has.
    """

    text: str
    fingerprint: str
    name: str
    parts: int
    welds: int


def read_to_store(raw: bytes | str) -> ReadWeldment:
    """Read a weldment that is to be stored; which stored one the document says it is counts no more.

    Raises
    ------
    InvalidDocument
        With every fault.
    """
    text = read_text(raw)
    values = text.values
    if isinstance(values, dict):
        values = {name: value for name, value in values.items() if name != "stored"}
    weldment = read_weldment(raw if text.faults or not isinstance(values, dict) else values)
    parts, welds = len(weldment.parts), len(weldment.welds)
    return ReadWeldment(as_text(values), weldment_fingerprint(weldment), weldment.name, parts, welds)


def read_to_store_aside(raw: bytes) -> ReadWeldment | tuple[Fault, ...]:
    """Read a weldment that is to be stored; faults are returned, to travel between processes."""
    try:
        return read_to_store(raw)
    except InvalidDocument as bad:
        return bad.faults


def refuse_unread(read: ReadWeldment | tuple[Fault, ...]) -> ReadWeldment:
    """Return a weldment that was read; raises InvalidDocument if there are faults in its place."""
    if isinstance(read, ReadWeldment):
        return read
    refuse(read)
    raise AssertionError("neither a weldment nor faults")
