"""Stock lists and stock documents on the command line, in and out."""

from __future__ import annotations

import sys
from datetime import date
from pathlib import Path

from inventory.errors import Fault, InvalidDocument
from service.command_line.arguments import signed
from service.command_line.printing.console import DONE, note, print_json, read_input
from service.command_line.sources import the_store
from service.command_line.stock_counts import say_hits
from service.documents import read_stock
from service.documents.stockroom.hits import hit_documents
from service.documents.stockroom.imports import row_document
from service.stockroom import stock_lists
from service.stockroom.first_stock import fill_if_empty
from service.text import printable


def import_stock(file: Path, dry_run: bool, who: str | None, why: str, db: str | None, json: bool) -> int:
    """Take a stock list (CSV) or a stock document (JSON) in."""
    signature = signed(who, why)
    raw = read_input(file)
    if file.suffix.lower() == ".json" or raw.lstrip(b"\xef\xbb\xbf \t\r\n").startswith(b"{"):
        return _document(raw, dry_run, signature.who, db, json)
    with the_store(db) as store:
        if dry_run:
            done = stock_lists.preview(store, raw)
        else:
            done = store.write(lambda connection: stock_lists.take_in(connection, raw, signature, date.today()))
    if json:
        changes = [row_document(change.row, change.item, change.fields) for change in done.changes]
        print_json({"rows": done.rows, "written": done.written, "changes": changes, "hits": hit_documents(done.hits)})
        return DONE
    for change in done.changes:
        fields = ", ".join(f"{field} {before} -> {after}" for field, (before, after) in change.fields.items())
        print(printable(f"row {change.row}, {change.item}: {fields}"))
    print(f"{done.rows} rows read, {len(done.changes)} {'changed' if done.written else 'would change; nothing was written'}")
    say_hits(done.hits)
    return DONE


def _document(raw: bytes, dry_run: bool, who: str, db: str | None, json: bool) -> int:
    shelf = read_stock(raw)
    if not dry_run:
        with the_store(db, create=True) as store:
            if not fill_if_empty(store, shelf, who):
                wrong = "the store holds items or tables already, and a stock document would replace them"
                raise InvalidDocument([Fault("", wrong, "an empty store, or a stock list (.csv) of items it has")])
    holds = {"tables": len(shelf.tables), "items": len(shelf.items), "counts": len(shelf.lines)}
    if json:
        print_json({**holds, "written": not dry_run})
    else:
        said = ", ".join(f"{count} {what}" for what, count in holds.items())
        print(said + (" read; nothing was written" if dry_run else " written"))
    return DONE


def export_stock(out: Path | None, semicolons: bool, db: str | None) -> int:
    """Write the stock as CSV."""
    with the_store(db) as store:
        content = stock_lists.export(store, ";" if semicolons else ",")
    if out is None:
        sys.stdout.buffer.write(content)
        return DONE
    try:
        out.write_bytes(content)
    except OSError as error:
        raise InvalidDocument(
            [Fault("/out", f"{out} cannot be written: {error.strerror}", "a file in a folder that can be")]
        ) from None
    note(f"written to {out}")
    return DONE
