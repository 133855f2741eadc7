"""Readings as documents and back: `holdwright.reading/1`."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Any

from inventory.shapes import Point3
from service.documents.reading.fields import triple
from service.documents.reading.reading import Reading
from service.documents.weldment import weldment_document
from service.documents.weldment_files.reading_model import (
    FORMAT,
    LONGEST_TEXT,
    MOST_BODIES,
    MOST_REMARKS,
    DeviationDocument,
    ReadBodyDocument,
    ReadingDocument,
    RemarkDocument,
)
from service.exchange.weldments.weldment_reading import Deviation, ReadBody, Remark, WeldmentReading
from service.text import printable


def reading_document(reading: WeldmentReading) -> dict[str, Any]:
    """Return a reading as the document it is read from; texts are made safe to show, however the file writes them."""
    weldment = reading.weldment
    return {
        "format": FORMAT, "kind": reading.kind, "dialect": _safe(reading.dialect), "drawn_in": reading.units,
        "name": reading.name,
        "bodies": [_body_document(body) for body in reading.bodies],
        "undecided": [_safe(body.name) for body in reading.undecided],
        "remarks": _remark_documents(reading.remarks, MOST_BODIES),
        "weldment": None if weldment is None else weldment_document(weldment),
    }  # fmt: skip


def read_reading(raw: bytes | str | dict[str, Any], largest: int) -> WeldmentReading:
    """Return the reading that a document of at most so many bytes stands for.

    Raises
    ------
    InvalidDocument
        With every fault.
    """
    found = Reading(raw, ReadingDocument, largest)
    document = found.document
    weldment = None
    if document is not None and document.weldment is not None:
        weldment = found.made(document.weldment.to_domain, "/weldment")
    found.finish()
    assert document is not None
    return WeldmentReading(
        kind=document.kind,
        dialect=document.dialect,
        units=document.drawn_in,
        name=document.name,
        parts=() if weldment is None else weldment.parts,
        bodies=tuple(_body(body) for body in document.bodies),
        remarks=tuple(_remark(remark) for remark in document.remarks),
    )


def _body_document(body: ReadBody) -> dict[str, Any]:
    deviation = body.deviation
    return {
        "number": body.number, "name": _safe(body.name), "outcome": body.outcome, "part": body.part, "words": _safe(body.words),
        "deviation": None if deviation is None else {
            "volume_mm3": deviation.volume_mm3, "volume_share": deviation.volume_share, "largest_mm": deviation.largest_mm,
        },
        "remarks": _remark_documents(body.remarks, MOST_REMARKS),
        "box": None if body.box is None or None in map(_place, body.box) else [_place(corner) for corner in body.box],
    }  # fmt: skip


def _remark_documents(remarks: Sequence[Remark], most: int) -> list[dict[str, Any]]:
    shown = remarks if len(remarks) <= most else (*remarks[: most - 1], _more(len(remarks) - most + 1))
    return [
        {"code": _safe(remark.code), "text": _safe(remark.text), "where": _safe(remark.where), "at": _place(remark.at)}
        for remark in shown
    ]


def _more(number: int) -> Remark:
    return Remark("remarks.more", f"{number:,} more remarks are not listed")


def _place(at: Point3 | None) -> list[float] | None:
    return list(at) if at is not None and all(math.isfinite(number) for number in at) else None


def _safe(text: str) -> str:
    """Return a text without what steers a terminal or breaks a line, of so many characters at most."""
    shown = printable(text[: 2 * LONGEST_TEXT])
    return shown if len(shown) <= LONGEST_TEXT else shown[: LONGEST_TEXT - 3] + "..."


def _body(document: ReadBodyDocument) -> ReadBody:
    box = None if document.box is None else (triple(document.box[0]), triple(document.box[1]))
    return ReadBody(
        document.number, document.name, document.outcome, document.part, document.words, _deviation(document.deviation),
        tuple(_remark(remark) for remark in document.remarks), box,
    )  # fmt: skip


def _deviation(document: DeviationDocument | None) -> Deviation | None:
    return None if document is None else Deviation(document.volume_mm3, document.volume_share, document.largest_mm)


def _remark(document: RemarkDocument) -> Remark:
    return Remark(document.code, document.text, document.where, None if document.at is None else triple(document.at))
