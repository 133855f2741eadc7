"""Counted stock on the command line: what is free, changes of counts, the journal, whom missing pieces hit."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from datetime import UTC, date, datetime

from inventory.availability import Span
from inventory.store import Connection, Note
from inventory.store.hits import Hit
from service.command_line.arguments import signed, span_of
from service.command_line.printing.console import DONE, REFUSED, note, print_json, print_table
from service.command_line.sources import the_store
from service.documents.stockroom.hits import changed_document, hit_documents
from service.documents.stockroom.stock import available_document, entry_document, free_stock_document
from service.stockroom import stock
from service.stockroom.stock import CountChange, Happened
from service.text import printable
from service.text_table import Column

_ALL = 1_000_000


def list_stock(text: str, first: str | None, last: str | None, bin: str | None, db: str | None, json: bool) -> int:
    """List what is counted, out of service, promised and free."""
    now, today = datetime.now(UTC), date.today()
    span = span_of(first, last) or Span(today, today)
    with the_store(db) as store:
        free = stock.free_stock(store, span, now, today, "", _ALL, bin, text or None)
    lines = [available_document(line) for line in free.lines]
    if json:
        print_json({**free_stock_document(free.version, free.span), "stock": lines})
        return DONE
    keys = ("item", "name", "bin", "count", "out_of_service", "reserved", "free")
    columns = [Column("name", wraps=True) if key == "name" else key.replace("_", " ") for key in keys]
    print_table(columns, [[line[key] for key in keys] for line in lines], "no items")
    return DONE


def recount(
    item: str, count: int, out_of_service: int | None, bin: str | None, who: str | None, why: str, db: str | None, json: bool
) -> int:
    """Write down what was counted."""

    def change(connection: Connection, note: Note) -> CountChange:
        return stock.recount(connection, item, note, date.today(), count=count, out_of_service=out_of_service, bin=bin)

    return _changed(who, why, db, json, change)


def enter(happened: Happened, item: str, pieces: int, who: str | None, why: str, db: str | None, json: bool) -> int:
    """Write down that pieces came, broke, were repaired or thrown away."""
    return _changed(who, why, db, json, lambda c, note: stock.enter(c, item, happened, pieces, note, date.today()))


def show_journal(item: str | None, most: int, db: str | None, json: bool) -> int:
    """Show the journal, newest first."""
    with the_store(db) as store:
        entries = [entry_document(entry) for entry in stock.journal(store, None, most, item)]
    if json:
        print_json(entries)
        return DONE
    keys = ("at", "who", "kind", "item", "pieces", "count", "out_of_service", "why")
    columns = [Column(key, wraps=True) if key in ("who", "why") else key.replace("_", " ") for key in keys]
    print_table(columns, [[entry[key] for key in keys] for entry in entries], "nothing in the journal")
    return DONE


def show_hits(db: str | None, json: bool) -> int:
    """Say whom present counts leave short; exit code 1 if anybody."""
    with the_store(db) as store:
        found = stock.all_hits(store, date.today()).hits
    if json:
        print_json(hit_documents(found))
    elif not found:
        print("no reservation or plan is short of pieces")
    else:
        say_hits(found)
    return REFUSED if found else DONE


def say_hits(hits: Sequence[Hit]) -> None:
    """Say, on standard error, which reservations and plans are short of pieces."""
    for hit in hits:
        if hit.reservations:
            note(f"{hit.item}: {hit.usable} in service, {hit.short} short from {hit.from_day}; promised to:")
        for there in hit.reservations:
            plan = f", plan {there.plan} alternative {there.plan_rank}" if there.plan else ""
            note(f"  reservation {there.reservation} ({there.job}): {there.pieces}, {there.state}, {days_text(there.span)}{plan}")
        for kept in hit.plans:
            needs = f"needs {kept.pieces}, {kept.free} free"
            note(f"  plan {kept.plan} alternative {kept.rank}: {needs}, {days_text(kept.span)}")


def days_text(span: Span) -> str:
    """Return days as they are printed."""
    return f"{span.first.isoformat()}..{span.last.isoformat()}"


def _changed(who: str | None, why: str, db: str | None, json: bool, change: Callable[[Connection, Note], CountChange]) -> int:
    signature = signed(who, why)
    with the_store(db) as store:
        done = store.write(lambda connection: change(connection, signature))
    line = done.line
    if json:
        print_json(changed_document(line, done.hits))
        return DONE
    print(printable(f"{line.name}: {line.count} counted, {line.out_of_service} out of service, bin {line.bin or '-'}"))
    say_hits(done.hits)
    return DONE
