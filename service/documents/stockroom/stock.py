"""Counted stock on the wire: what happened to pieces, what was counted, stock lines, the journal."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import asdict
from datetime import date, datetime
from typing import Annotated, Any, Literal

from pydantic import Field

from inventory.availability import Span
from inventory.store.counts import Counted, Entry, EntryKind
from inventory.store.snapshots import Available
from service.documents.answers.answer import Answer
from service.documents.answers.catalogue import Next
from service.documents.reading.fields import Name
from service.documents.stockroom.body import Pieces, SignedBody
from service.documents.stockroom.days import days_document

StockVersion = Annotated[int, Field(description="state of the stock this holds for")]
First = Annotated[date, Field(alias="from", description="first day, YYYY-MM-DD")]
Last = Annotated[date, Field(alias="to", description="last day, itself included")]


class EntryBody(SignedBody):
    """Pieces that came, broke, were repaired or thrown away."""

    do: Annotated[Literal["receive", "break", "repair", "scrap"], Field(description="what happened to the pieces")]
    pieces: Annotated[Pieces, Field(description="how many")]


class CountBody(SignedBody):
    """What was counted, and where it lies; what is left out stays."""

    count: Annotated[Pieces | None, Field(description="pieces the shop owns, wherever they are")] = None
    out_of_service: Annotated[Pieces | None, Field(description="pieces of them that cannot be used")] = None
    bin: Annotated[Name | None, Field(description="where they lie")] = None


class CountedLineDocument(Answer):
    """A stock line as counted."""

    item: Annotated[str, Field(description="id of the item")]
    name: str
    bin: Annotated[str, Field(description="where the pieces lie")]
    count: Annotated[int, Field(description="pieces the shop owns, wherever they are")]
    out_of_service: Annotated[int, Field(description="pieces of them that cannot be used")]
    version: Annotated[int, Field(description="grows with every change of this line; its ETag")]


class AvailableLineDocument(CountedLineDocument):
    """A stock line with what is promised and free of it over the days asked for."""

    reserved: Annotated[int, Field(description="most pieces promised on any one of the days")]
    free: Annotated[int, Field(description="pieces free on every one of the days")]


class StockPageDocument(Answer):
    """A page of stock lines, by item."""

    stock_version: StockVersion
    first: First
    last: Last
    stock: list[AvailableLineDocument]
    next: Next


class StretchDocument(Answer):
    """Days on which equally many pieces are free."""

    first: First
    last: Last
    free: int


class FreeByDayDocument(AvailableLineDocument):
    """A stock line, and what is free of it from day to day."""

    stock_version: StockVersion
    first: First
    last: Last
    by_day: list[StretchDocument]


class EntryDocument(Answer):
    """One line of the journal; `count` and `out_of_service` are those after the change."""

    id: int
    at: datetime
    who: str
    why: str
    kind: Annotated[EntryKind, Field(description="what happened to the pieces")]
    item: str
    pieces: int
    count_change: int
    out_of_service_change: int
    count: int
    out_of_service: int
    reservation: Annotated[int | None, Field(description="number of the reservation it came from")]
    key: Annotated[str | None, Field(description="id of the API key it came by")]


class JournalPageDocument(Answer):
    """A page of the journal, newest first."""

    entries: list[EntryDocument]
    next: Next


def counted_document(line: Counted) -> dict[str, Any]:
    """Return a stock line as counted."""
    return CountedLineDocument(**_counted(line)).plain()


def available_document(line: Available) -> dict[str, Any]:
    """Return a stock line with what is promised and free of it over the days asked for."""
    return AvailableLineDocument(**_counted(line.counted), reserved=line.reserved, free=line.free).plain()


def free_stock_document(version: int, span: Span) -> dict[str, Any]:
    """Return the stock version and the days a list of stock lines holds for."""
    return {"stock_version": version, **days_document(span)}


def free_by_day_document(version: int, span: Span, line: Available, by_day: Iterable[tuple[Span, int]]) -> dict[str, Any]:
    """Return a stock line with what is free of it from day to day."""
    return FreeByDayDocument(
        **_counted(line.counted), reserved=line.reserved, free=line.free, stock_version=version, first=span.first, last=span.last,
        by_day=[StretchDocument(first=days.first, last=days.last, free=max(0, free)) for days, free in by_day],
    ).plain()  # fmt: skip


def entry_document(entry: Entry) -> dict[str, Any]:
    """Return one line of the journal."""
    return EntryDocument(**asdict(entry)).plain()


def _counted(line: Counted) -> dict[str, Any]:
    return {name: getattr(line, name) for name in CountedLineDocument.model_fields}
