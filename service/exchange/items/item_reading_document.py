"""The reading of an item as a document."""

from __future__ import annotations

from typing import Any

from service.documents.item_files.item_reading import (
    ItemFindingDocument,
    ItemReadingDocument,
    ItemSolidDocument,
)
from service.exchange.items.item_check import ItemFinding, Verdict
from service.exchange.items.item_reading import ItemReading
from service.text import printable

_ORDER: tuple[Verdict, ...] = ("wrong", "told", "good")


def item_reading_document(reading: ItemReading) -> dict[str, Any]:
    """Return a reading as plain JSON values."""
    return ItemReadingDocument(
        format="holdwright.item-reading/1",
        sound=reading.sound,
        item=dict(reading.document),
        solids=[
            ItemSolidDocument(number=number, name=printable(body.name), words=printable(body.words))
            for number, body in enumerate(reading.bodies, 1)
        ],
        findings=[
            ItemFindingDocument(
                code=each.code,
                subject=each.subject,
                verdict=each.verdict,
                text=printable(each.text),
                value=each.value,
                limit=each.limit,
            )
            for each in ordered(reading.findings)
        ],
    ).plain()


def said(reading: ItemReading) -> tuple[str, ...]:
    """Return what there is to be said of an item, a line each, what is good left out."""
    return tuple(f"{one.verdict}: {one.subject}: {one.text}" for one in ordered(reading.findings) if one.verdict != "good")


def ordered(findings: tuple[ItemFinding, ...]) -> list[ItemFinding]:
    """Return findings, those first that matter most."""
    return sorted(findings, key=lambda finding: _ORDER.index(finding.verdict))
