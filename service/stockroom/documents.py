"""Stock and reservations as plain JSON values."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import asdict
from datetime import date, datetime
from typing import Any

from inventory.availability import ShortLine, Span
from inventory.reservations import LEGAL, Reservation
from inventory.store.counts import Counted, Entry
from inventory.store.finding import StepTaken
from inventory.store.hits import Hit
from inventory.store.snapshots import Available
from service.stockroom.lists import Imported


def days_document(span: Span) -> dict[str, str]:
    """Return days, both ends included."""
    return {"from": span.first.isoformat(), "to": span.last.isoformat()}


def counted_document(line: Counted) -> dict[str, Any]:
    """Return a stock line as counted."""
    return {key: getattr(line, key) for key in ("item", "name", "bin", "count", "out_of_service", "version")}


def available_document(line: Available) -> dict[str, Any]:
    """Return a stock line with what is promised and free of it over the days asked for."""
    return {**counted_document(line.counted), "reserved": line.reserved, "free": line.free}


def stretch_documents(stretches: Iterable[tuple[Span, int]]) -> list[dict[str, Any]]:
    """Return what is free from day to day."""
    return [{**days_document(span), "free": max(0, free)} for span, free in stretches]


def entry_document(entry: Entry) -> dict[str, Any]:
    """Return one line of the journal."""
    return {**asdict(entry), "at": _moment(entry.at)}


def imported_document(done: Imported) -> dict[str, Any]:
    """Return what a stock list changed, or would change."""
    changes = [
        {"row": change.row, "item": change.item, **{field: {"from": a, "to": b} for field, (a, b) in change.fields.items()}}
        for change in done.changes
    ]
    return {"rows": done.rows, "written": done.written, "changes": changes, "hits": [hit_document(hit) for hit in done.hits]}


def reservation_document(there: Reservation, steps: Sequence[StepTaken] | None = None) -> dict[str, Any]:
    """Return a reservation, with the steps it may take next and, if given, those it took."""
    document: dict[str, Any] = {
        "id": there.id,
        "job": there.job,
        "state": there.state,
        "needed": days_document(there.span),
        "lines": [
            {
                "item": x.item,
                "count": x.pieces,
                "whole": x.whole,
                "broken": x.broken,
                "missing": x.missing,
                "outstanding": x.outstanding,
            }
            for x in there.lines
        ],
        "plan": there.plan,
        "rank": there.plan_rank,
        "made_by": there.made_by,
        "made_at": _moment(there.made_at),
        "expires_at": _moment(there.expires_at),
        "allowed": list(LEGAL[there.state]),
        "version": there.version,
    }
    if steps is not None:
        document["steps"] = [{**asdict(step), "at": _moment(step.at)} for step in steps]
    return document


def hit_document(hit: Hit) -> dict[str, Any]:
    """Return whom a missing piece concerns."""
    return {
        "item": hit.item,
        "in_service": hit.usable,
        "short": hit.short,
        "from": _day(hit.from_day),
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


def short_document(line: ShortLine) -> dict[str, Any]:
    """Return one line that could not be promised."""
    return {
        "item": line.item,
        "name": line.name,
        **days_document(line.span),
        "needed": line.needed,
        "free": line.free,
        "in_service": line.usable,
        "more_free": line.more_free,
        "more_from": _day(line.more_from),
        "enough_from": _day(line.enough_from),
        "text": str(line),
    }


def _day(day: date | None) -> str | None:
    return None if day is None else day.isoformat()


def _moment(at: datetime | None) -> str | None:
    return None if at is None else at.isoformat().replace("+00:00", "Z")
