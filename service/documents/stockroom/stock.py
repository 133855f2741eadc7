"""Counted stock on the wire: what happened to pieces, what was counted, stock lines, the journal, whom missing pieces hit."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import asdict
from typing import Annotated, Any, Literal

from pydantic import Field

from inventory.availability import Span
from inventory.store.counts import Counted, Entry
from inventory.store.hits import Hit
from inventory.store.snapshots import Available
from service.documents.reading.fields import Name
from service.documents.stockroom.body import Pieces, SignedBody
from service.documents.stockroom.days import day_text, days_document, moment_text


class EntryBody(SignedBody):
    """Pieces that came, broke, were repaired or thrown away."""

    do: Annotated[Literal["receive", "break", "repair", "scrap"], Field(description="what happened to the pieces")]
    pieces: Annotated[Pieces, Field(description="how many")]


class CountBody(SignedBody):
    """What was counted, and where it lies; what is left out stays."""

    count: Annotated[Pieces | None, Field(description="pieces the shop owns, wherever they are")] = None
    out_of_service: Annotated[Pieces | None, Field(description="pieces of them that cannot be used")] = None
    bin: Annotated[Name | None, Field(description="where they lie")] = None


def counted_document(line: Counted) -> dict[str, Any]:
    """Return a stock line as counted."""
    return {key: getattr(line, key) for key in ("item", "name", "bin", "count", "out_of_service", "version")}


def available_document(line: Available) -> dict[str, Any]:
    """Return a stock line with what is promised and free of it over the days asked for."""
    return {**counted_document(line.counted), "reserved": line.reserved, "free": line.free}


def free_stock_document(version: int, span: Span) -> dict[str, Any]:
    """Return the stock version and the days a list of stock lines holds for."""
    return {"stock_version": version, **days_document(span)}


def free_by_day_document(version: int, span: Span, line: Available, by_day: Iterable[tuple[Span, int]]) -> dict[str, Any]:
    """Return a stock line with what is free of it from day to day."""
    stretches = [{**days_document(days), "free": max(0, free)} for days, free in by_day]
    return {"stock_version": version, **available_document(line), **days_document(span), "by_day": stretches}


def changed_document(line: Counted, hits: Sequence[Hit]) -> dict[str, Any]:
    """Return a stock line after a change, and whom that hits."""
    return {**counted_document(line), "hits": hit_documents(hits)}


def entry_document(entry: Entry) -> dict[str, Any]:
    """Return one line of the journal."""
    return {**asdict(entry), "at": moment_text(entry.at)}


def row_document(row: int, item: str, fields: Mapping[str, tuple[Any, Any]]) -> dict[str, Any]:
    """Return what one row of a stock list changes, or would change: field by field, before and after."""
    return {"row": row, "item": item, **{field: {"from": before, "to": after} for field, (before, after) in fields.items()}}


def hit_documents(hits: Sequence[Hit]) -> list[dict[str, Any]]:
    """Return whom missing pieces concern, item by item."""
    return [hit_document(hit) for hit in hits]


def hit_document(hit: Hit) -> dict[str, Any]:
    """Return whom a missing piece concerns."""
    return {
        "item": hit.item,
        "in_service": hit.usable,
        "short": hit.short,
        "from": day_text(hit.from_day),
        "reservations": [
            {
                "id": x.reservation, "job": x.job, "state": x.state, "needed": days_document(x.span), "count": x.pieces,
                "plan": x.plan, "rank": x.plan_rank,
            }
            for x in hit.reservations
        ],
        "plans": [
            {"plan": x.plan, "rank": x.rank, "needed": days_document(x.span), "count": x.pieces, "free": x.free}
            for x in hit.plans
        ],
    }  # fmt: skip
