"""Counted stock at the storekeeper's desk: what is free when, changes of counts, whom they hit."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import UTC, date, datetime
from functools import partial
from typing import Any

from inventory.availability import Span, stretches
from inventory.errors import Fault, refuse
from inventory.store import Connection, Note, Store, counts
from inventory.store.counts import EntryKind
from inventory.store.hits import hits
from inventory.store.promises import promises
from inventory.store.snapshots import available
from inventory.store.transactions import version
from service.documents.stockroom import CountBody, EntryBody, read_body_as
from service.stockroom.documents import (
    available_document,
    counted_document,
    days_document,
    entry_document,
    hit_document,
    imported_document,
    stretch_documents,
)
from service.stockroom.lists import looked_at, take_in
from service.stockroom.replies import Asked, Page, Reply, written_once
from service.stockroom.sweeping import let_go

_ENTRIES = {"receive": counts.receive, "break": counts.take_out, "repair": counts.repair, "scrap": counts.scrap}


def days_asked(first: date | None, last: date | None, today: date) -> Span:
    """Return the days asked for: today if none, one day if only its first is named."""
    start = first or (min(last, today) if last else today)
    return Span(start, last or start)


def free_stock(store: Store, span: Span, today: date, page: Page, bin: str | None = None, text: str | None = None) -> Reply:
    """Return a page of stock lines with what is free on every day of the span, and the version of that moment."""

    def read(connection: Connection) -> dict[str, Any]:
        found = counts.lines(connection, bin=bin, text=text, after=page.after or "", limit=page.limit + 1)
        lines = available(connection, found, span, today)
        listed = page.document("stock", lines, lambda each: each.counted.item, available_document)
        return {"stock_version": version(connection), **days_document(span), **listed}

    let_go(store, datetime.now(UTC), today)
    return Reply(store.read(read))


def one_line(store: Store, item: str, span: Span, today: date) -> Reply:
    """Return one stock line, and how many of it are free from day to day over the span."""

    def read(connection: Connection) -> dict[str, Any]:
        (line,) = available(connection, [counts.line(connection, item)], span, today)
        promised = promises(connection, [item], span.first, today).get(item, [])
        by_day = stretch_documents(stretches(line.counted.usable, promised, span))
        shown = {**available_document(line), **days_document(span), "by_day": by_day}
        return {"stock_version": version(connection), **shown}

    let_go(store, datetime.now(UTC), today)
    return Reply.of_version(store.read(read))


def entered(store: Store, item: str, asked: Asked) -> Reply:
    """Write down that pieces came, broke, were repaired or thrown away; the answer says whom that hits."""
    body = read_body_as(EntryBody, asked.body)
    note = Note(body.who, asked.now, body.why)

    def write(connection: Connection) -> Reply:
        line = _ENTRIES[body.do](connection, item, body.pieces, note)
        return Reply.of_version({**counted_document(line), "hits": hit_documents(connection, [item], asked.today)}, 201)

    return written_once(store, asked, write)


def recounted(store: Store, item: str, asked: Asked) -> Reply:
    """Write down what was counted and where it lies; the answer says whom that hits."""
    expected, body = asked.expected(), read_body_as(CountBody, asked.body)
    note = Note(body.who, asked.now, body.why)
    nothing = body.count is None and body.out_of_service is None and body.bin is None
    refuse([Fault("", "changes nothing", "at least one of count, out_of_service, bin")] if nothing else [])

    def write(connection: Connection) -> Reply:
        line = counts.line(connection, item)
        fresh = expected
        if body.bin is not None:
            line, fresh = counts.put_in_bin(connection, item, body.bin, expected), 0
        if body.count is not None or body.out_of_service is not None:
            count = line.count if body.count is None else body.count
            line = counts.recount(connection, item, count, note, body.out_of_service, fresh)
        return Reply.of_version({**counted_document(line), "hits": hit_documents(connection, [item], asked.today)})

    return written_once(store, asked, write)


def journal(
    store: Store, page: Page, item: str | None = None, kind: EntryKind | None = None, since: datetime | None = None
) -> Reply:
    """Return a page of the journal, newest first."""
    wanted = partial(counts.entries, item=item, kind=kind, since=since, before=page.number, limit=page.limit + 1)
    return Reply(page.document("entries", store.read(wanted), lambda each: each.id, entry_document))


def all_hits(store: Store, today: date) -> Reply:
    """Return every promise and plan that present counts leave short."""

    def read(connection: Connection) -> dict[str, Any]:
        wanted = [line.item for line in counts.lines(connection)]
        return {"stock_version": version(connection), "hits": hit_documents(connection, wanted, today)}

    return Reply(store.read(read))


def hit_documents(connection: Connection, wanted: Sequence[str], today: date) -> list[dict[str, Any]]:
    """Return whom the present counts of items leave short."""
    return [hit_document(hit) for hit in hits(connection, wanted, today)]


def with_zone(moment: datetime | None) -> datetime | None:
    """Return a moment with its zone; one without is taken as UTC, as every time the desk shows is."""
    return moment.replace(tzinfo=UTC) if moment is not None and moment.tzinfo is None else moment


def listed_in(store: Store, asked: Asked, who: str, why: str, dry_run: bool) -> Reply:
    """Take a stock list in; the answer says what changed and whom that hits."""
    note = Note(who, asked.now, why)
    if dry_run:
        return Reply(imported_document(looked_at(store, asked.body)))

    def write(connection: Connection) -> Reply:
        return Reply(imported_document(take_in(connection, asked.body, note, asked.today)))

    return written_once(store, asked, write)
