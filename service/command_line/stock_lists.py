"""Stock lists and stock documents on the command line, in and out."""

from __future__ import annotations

import sys
from datetime import date
from pathlib import Path

from inventory.errors import Fault, InvalidDocument
from service.command_line import stock_console
from service.command_line.console import note, read_input
from service.stockroom import lists
from service.stockroom.documents import hit_document
from service.text import printable


def brought_in(file: Path, dry_run: bool, who: str | None, why: str, db: str | None) -> int:
    """Take a stock list (CSV) or a stock document (JSON) in."""
    signature = stock_console.signed(who, why)
    raw = read_input(file)
    if file.suffix.lower() == ".json" or raw.lstrip(b"\xef\xbb\xbf \t\r\n").startswith(b"{"):
        return _document(raw, dry_run, signature.who, db)
    with stock_console.the_store(db) as store:
        if dry_run:
            done = lists.looked_at(store, raw)
        else:
            done = store.write(lambda connection: lists.take_in(connection, raw, signature, date.today()))
    for change in done.changes:
        fields = ", ".join(f"{field} {before} -> {after}" for field, (before, after) in change.fields.items())
        print(printable(f"row {change.row}, {change.item}: {fields}"))
    print(f"{done.rows} rows read, {len(done.changes)} {'changed' if done.written else 'would change; nothing was written'}")
    stock_console.say_hits([hit_document(hit) for hit in done.hits])
    return 0


def _document(raw: bytes, dry_run: bool, who: str, db: str | None) -> int:
    from service.documents import read_stock
    from service.stockroom.seeding import fill_if_empty

    shelf = read_stock(raw)
    holds = f"{len(shelf.tables)} tables, {len(shelf.items)} items, {len(shelf.lines)} counts"
    if dry_run:
        print(f"{holds} read; nothing was written")
        return 0
    with stock_console.the_store(db, create=True) as store:
        if not fill_if_empty(store, raw, who):
            wrong = "the store holds items or tables already, and a stock document would replace them"
            raise InvalidDocument([Fault("", wrong, "an empty store, or a stock list (.csv) of items it has")])
    print(f"{holds} written")
    return 0


def taken_out(out: Path | None, semicolons: bool, db: str | None) -> int:
    """Write the stock as CSV."""
    with stock_console.the_store(db) as store:
        content = lists.exported(store, ";" if semicolons else ",")
    if out is None:
        sys.stdout.buffer.write(content)
        return 0
    try:
        out.write_bytes(content)
    except OSError as error:
        raise InvalidDocument(
            [Fault("/out", f"{out} cannot be written: {error.strerror}", "a file in a folder that can be")]
        ) from None
    note(f"written to {out}")
    return 0
