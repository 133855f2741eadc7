"""Counted stock: what is free when, changes of counts, whom they hit."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import UTC, date, datetime
from functools import partial
from typing import Literal

from inventory.availability import Span, asked_span, stretches
from inventory.errors import Fault, refuse
from inventory.limits import moment_faults, sought_faults
from inventory.store import Connection, Note, Store, counts
from inventory.store.catalogue import ANY_VERSION
from inventory.store.counts import Counted, Entry, EntryKind
from inventory.store.hits import Hit, hits
from inventory.store.promises import promises
from inventory.store.snapshots import Available, available
from inventory.store.transactions import version
from service.stockroom.expiry import expire_overdue
from service.stockroom.hit_reservations import with_hits

Happened = Literal["receive", "break", "repair", "scrap"]
_ENTRIES = {"receive": counts.receive, "break": counts.take_out, "repair": counts.repair, "scrap": counts.scrap}


@dataclass(frozen=True, slots=True)
class FreeStock:
    """Stock lines with what is free of each on every day of a span, and the stock version of that moment."""

    version: int
    span: Span
    lines: tuple[Available, ...]


@dataclass(frozen=True, slots=True)
class FreeByDay:
    """One stock line, and how many of it are free from day to day over a span."""

    version: int
    span: Span
    line: Available
    by_day: tuple[tuple[Span, int], ...]


@dataclass(frozen=True, slots=True)
class CountChange:
    """A stock line after a change, and whom present counts leave short of it."""

    line: Counted
    hits: tuple[Hit, ...]


@dataclass(frozen=True, slots=True)
class StockHits:
    """Everybody whom present counts leave short, and the stock version of that moment."""

    version: int
    hits: tuple[Hit, ...]


def days_asked(first: date | None, last: date | None, today: date) -> Span:
    """Return the days asked for: today if none, one day if only its first is named."""
    start = first or (min(last, today) if last else today)
    return asked_span(start, last or start)


def free_stock(
    store: Store, span: Span, now: datetime, today: date, after: str, limit: int, bin: str | None = None, text: str | None = None
) -> FreeStock:
    """Return stock lines by item behind `after`: those in one bin, with `text` in id or name.

    Raises
    ------
    InvalidDocument
        If `bin` or `text` cannot stand on any shelf.
    """

    def read(connection: Connection) -> FreeStock:
        found = counts.lines(connection, bin=bin, text=text, after=after, limit=limit)
        return FreeStock(version(connection), span, tuple(available(connection, found, span, today)))

    refuse([*sought_faults("/bin", bin), *sought_faults("/text", text)])
    expire_overdue(store, now, today)
    return store.read(read)


def free_by_day(store: Store, item: str, span: Span, now: datetime, today: date) -> FreeByDay:
    """Return one stock line from day to day; raises NotFound."""

    def read(connection: Connection) -> FreeByDay:
        (line,) = available(connection, [counts.line(connection, item)], span, today)
        promised = promises(connection, [item], span.first, today).get(item, [])
        return FreeByDay(version(connection), span, line, tuple(stretches(line.counted.usable, promised, span)))

    expire_overdue(store, now, today)
    return store.read(read)


def enter(connection: Connection, item: str, happened: Happened, pieces: int, note: Note, today: date) -> CountChange:
    """Write down that pieces came, broke, were repaired or thrown away; raises NotFound, CountRefused."""
    return CountChange(*with_hits(connection, [item], lambda: _ENTRIES[happened](connection, item, pieces, note), note, today))


def recount(
    connection: Connection,
    item: str,
    note: Note,
    today: date,
    *,
    count: int | None = None,
    out_of_service: int | None = None,
    bin: str | None = None,
    expected: int = ANY_VERSION,
) -> CountChange:
    """Write down what was counted and where it lies; what is None stays.

    Raises
    ------
    InvalidDocument
        If nothing is to change.
    NotFound, Stale, CountRefused
    """
    nothing = count is None and out_of_service is None and bin is None
    refuse([Fault("", "changes nothing", "at least one of count, out_of_service, bin")] if nothing else [])

    def change() -> Counted:
        line, based_on = counts.line(connection, item), expected
        if bin is not None:
            line, based_on = counts.put_in_bin(connection, item, bin, expected), ANY_VERSION
        if count is not None or out_of_service is not None:
            line = counts.recount(connection, item, line.count if count is None else count, note, out_of_service, based_on)
        return line

    return CountChange(*with_hits(connection, [item], change, note, today))


def journal(
    store: Store,
    before: int | None,
    limit: int,
    item: str | None = None,
    kind: EntryKind | None = None,
    since: datetime | None = None,
) -> list[Entry]:
    """Return journal entries, newest first, before entry number `before`; `since` without a zone is taken as UTC.

    Raises
    ------
    InvalidDocument
        If `item` or `since` cannot be in any journal.
    """
    moment = since.replace(tzinfo=UTC) if since is not None and since.tzinfo is None else since
    refuse([*sought_faults("/item", item), *(moment_faults("/since", moment) if moment is not None else ())])
    return store.read(partial(counts.entries, item=item, kind=kind, since=moment, before=before, limit=limit))


def all_hits(store: Store, today: date, items: Sequence[str] | None = None) -> StockHits:
    """Return every promise and plan that present counts leave short, or those of some items alone."""

    def read(connection: Connection) -> StockHits:
        wanted = [line.item for line in counts.lines(connection)] if items is None else items
        return StockHits(version(connection), tuple(hits(connection, wanted, today)))

    return store.read(read)


def counted(store: Store, items: Sequence[str]) -> dict[str, Counted]:
    """Return the stock lines of some items by item; those there are none of are left out."""
    return {line.item: line for line in store.read(partial(counts.those, wanted=items))}


def bins(store: Store) -> tuple[str, ...]:
    """Return every place where pieces lie, in the order of the alphabet."""
    return tuple(sorted({line.bin for line in store.read(counts.lines) if line.bin}))
