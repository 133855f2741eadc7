"""Stock lists in and out: a list is looked through row by row before it is written, and written as it was shown."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from typing import Any

from fastapi import APIRouter, Request
from fastapi.responses import Response

from inventory.errors import Fault, InvalidDocument
from inventory.store import Connection, Store
from inventory.store.errors import Stale
from service.documents.stockroom.hits import hit_documents
from service.documents.stockroom.imports import row_document
from service.exchange import stock_csv
from service.http.dependencies import StoreHere
from service.http.replies import Reply
from service.http.writes import write_once
from service.page.forms import Form, FormHere
from service.page.frame import page
from service.page.store.signing import REFUSED, StoreRefusal, refused, signed
from service.page.writes import write_of_form
from service.stockroom import stock, stock_lists
from service.stockroom.stock_lists import ListImport

router = APIRouter()


@dataclass(frozen=True, slots=True)
class ListedRow:
    """A row of a stock list as it stands there, what it would change, and what is wrong with it."""

    number: int
    cells: Sequence[str]
    changes: Mapping[str, Any]
    faults: tuple[Fault, ...]


@dataclass(frozen=True, slots=True)
class DryRun:
    """What a list would change: its rows that change something or cannot be read, and how many are neither.

    Parameters
    ----------
    faults : tuple of Fault
        Of the list as a whole.
    version : int
        Of the stock it was held against, 0 where it could not be.
    """

    heading: Sequence[str]
    rows: tuple[ListedRow, ...]
    same: int
    faults: tuple[Fault, ...]
    version: int

    @property
    def sound(self) -> bool:
        """Whether the list can be written."""
        return self.version > 0


@router.get("/store/import")
def show_lists(request: Request, store: StoreHere) -> Response:
    """Show where lists are had and taken in."""
    return _screen(request, Form({}))


@router.post("/store/import")
def look_through_list(request: Request, store: StoreHere, form: FormHere) -> Response:
    """Show row by row what a list would change, and write nothing."""
    return _looked_through(request, store, form)


@router.post("/store/import/write")
def write_list(request: Request, store: StoreHere, form: FormHere) -> Response:
    """Write a list that was looked through; where the stock was changed since, it is looked through again."""
    write, raw = write_of_form(request, form), form.raw("list").encode()
    try:
        (expected,) = write.versions()
        note = signed(request, form, write)

        def action(connection: Connection) -> Reply:
            taken = stock_lists.take_in(connection, raw, note, write.today, expected)
            return Reply({"rows": taken.rows, "changes": _documents(taken), "hits": hit_documents(taken.hits)})

        reply = write_once(store, write, action)
    except Stale:
        told = "The stock was changed meanwhile, so nothing was written. This is what the list would change now."
        return _looked_through(request, store, form, StoreRefusal(412, told))
    except REFUSED as error:
        return _looked_through(request, store, form, refused(form, error))
    assert reply.document is not None
    items = [each["item"] for each in reply.document["changes"]]
    found = stock.all_hits(store, date.today(), items).hits
    return page(request, "store/taken_in.html", block="taken", taken=reply.document, hits=found)


def _looked_through(request: Request, store: Store, form: Form, refusal: StoreRefusal | None = None) -> Response:
    text = form.raw("list")
    if not text.strip():
        form.fault("list", "is empty", "a list as CSV: its heading and a row for each item")
        return _screen(request, form, status=422)
    dry_run = _dry_run(store, text.encode())
    status = refusal.status if refusal else 200 if dry_run.sound else 422
    return _screen(request, form, dry_run, refusal, status)


def _dry_run(store: Store, raw: bytes) -> DryRun:
    try:
        written = stock_csv.as_written(raw)
    except InvalidDocument as bad:
        return DryRun((), (), 0, bad.faults, 0)
    (_, heading), rows = written[0] if written else (1, []), written[1:]
    try:
        found = stock_lists.preview(store, raw)
    except InvalidDocument as bad:
        by_row = _by_row(bad.faults)
        shown = tuple(
            ListedRow(number, _as_wide(cells, heading), {}, by_row[number]) for number, cells in rows if number in by_row
        )
        numbers = {row.number for row in shown}
        general = tuple(fault for number, faults in by_row.items() if number not in numbers for fault in faults)
        return DryRun(heading, shown, len(rows) - len(shown), general, 0)
    changes = {each["row"]: each for each in _documents(found)}
    shown = tuple(ListedRow(number, _as_wide(cells, heading), changes[number], ()) for number, cells in rows if number in changes)
    return DryRun(heading, shown, len(rows) - len(shown), (), found.stock_version)


def _as_wide(cells: Sequence[str], heading: Sequence[str]) -> list[str]:
    """Return a row's cells with those that it leaves out at its end."""
    return [*cells, *[""] * (len(heading) - len(cells))]


def _by_row(faults: Iterable[Fault]) -> dict[int, tuple[Fault, ...]]:
    """Return faults by the row they name, 0 for those of the whole list; each keeps the column as its pointer."""
    found: dict[int, tuple[Fault, ...]] = {}
    for fault in faults:
        _, rows, number, column = (*fault.pointer.split("/", 3), "", "", "", "")[:4]
        row = int(number) if rows == "rows" and number.isdecimal() else 0
        found[row] = (*found.get(row, ()), Fault(column if row else fault.pointer, fault.wrong, fault.accepted))
    return found


def _documents(found: ListImport) -> list[dict[str, Any]]:
    return [row_document(change.row, change.item, change.fields) for change in found.changes]


def _screen(
    request: Request, form: Form, dry_run: DryRun | None = None, refusal: StoreRefusal | None = None, status: int = 200
) -> Response:
    columns = stock_csv.COLUMNS
    return page(
        request,
        "store/lists.html",
        block="list",
        status=status,
        form=form,
        dry_run=dry_run,
        refusal=refusal,
        columns=columns,
        needed=stock_csv.REQUIRED,
        text=form.raw("list"),
    )
