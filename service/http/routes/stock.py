"""Stock: what is free when, what came, broke and was counted, and whom that hits."""

from __future__ import annotations

from datetime import UTC, date, datetime
from typing import Annotated

from fastapi import APIRouter, Query, Request
from fastapi.responses import Response
from starlette.concurrency import run_in_threadpool

from inventory.store import Connection
from inventory.store.counts import EntryKind
from service.documents.stockroom.hits import ChangedLineDocument, HitListDocument, changed_document, hit_documents
from service.documents.stockroom.imports import ImportReportDocument, row_document
from service.documents.stockroom.stock import (
    CountBody,
    EntryBody,
    FreeByDayDocument,
    JournalPageDocument,
    StockPageDocument,
    available_document,
    entry_document,
    free_by_day_document,
    free_stock_document,
)
from service.http.dependencies import StoreHere
from service.http.guard.body import CSV
from service.http.pages import Page
from service.http.parameters import Cursor, Flag, From, Key, Limit, Match, Named, Since, Text, To
from service.http.reference.routes import answers, takes, takes_csv
from service.http.replies import Reply, answered
from service.http.writes import write_of, write_once
from service.stockroom import stock, stock_lists
from service.stockroom.stock import CountChange
from service.stockroom.stock_lists import ListImport

router = APIRouter(prefix="/v1/stock", tags=["stock"])
_ENTRY = {"do": "break", "pieces": 1, "who": "storekeeper", "why": "cracked while clamping"}
_COUNT = {"count": 8, "bin": "A3", "who": "storekeeper", "why": "yearly count"}
_IMPORTED = answers(200, model=ImportReportDocument)
_LINE = answers(200, model=FreeByDayDocument, headers=("ETag",))
_CHANGED = answers(200, model=ChangedLineDocument, headers=("ETag",), problems=("count",))
Bin = Annotated[str | None, Query(max_length=200, description="only what lies there")]
Who = Annotated[
    str | None,
    Query(min_length=1, max_length=200, description="person or system that signs for it; absent = the name of the API key"),
]
Why = Annotated[str, Query(max_length=1000, description="the reason")]
DryRun = Annotated[Flag, Query(description="say what would change and find every fault, write nothing")]
Semicolons = Annotated[Flag, Query(description="semicolons and decimal commas, for spreadsheets that expect them")]


@router.get("", summary="What is free", responses=answers(200, model=StockPageDocument))
async def list_stock(
    store: StoreHere,
    first: From = None,
    last: To = None,
    bin: Bin = None,
    text: Text = None,
    cursor: Cursor = None,
    limit: Limit = 100,
) -> Response:
    """Return a page of stock lines by item, with what is free on every day from `from` to `to`, and the `stock_version`."""

    def act() -> Reply:
        page, now, today = Page.asked(cursor, limit), datetime.now(UTC), date.today()
        span = stock.days_asked(first, last, today)
        free = stock.free_stock(store, span, now, today, page.after, page.fetched, bin, text)
        listed = page.document("stock", free.lines, lambda each: each.counted.item, available_document)
        return Reply({**free_stock_document(free.version, free.span), **listed})

    return await answered(act)


@router.get("/journal", summary="The journal", responses=answers(200, model=JournalPageDocument))
async def list_journal(
    store: StoreHere,
    item: Named = None,
    kind: EntryKind | None = None,
    since: Since = None,
    cursor: Cursor = None,
    limit: Limit = 100,
) -> Response:
    """Return a page of the journal, newest first: every change of a count with who, when and why."""

    def act() -> Reply:
        page = Page.asked(cursor, limit)
        entries = stock.journal(store, page.number, page.fetched, item, kind, since)
        return Reply(page.document("entries", entries, lambda each: each.id, entry_document))

    return await answered(act)


@router.get("/hits", summary="Whom missing pieces hit", responses=answers(200, model=HitListDocument))
async def list_hits(store: StoreHere) -> Response:
    """Return every reservation and kept plan that present counts leave short."""

    def act() -> Reply:
        found = stock.all_hits(store, date.today())
        return Reply({"stock_version": found.version, "hits": hit_documents(found.hits)})

    return await answered(act)


@router.get("/export", summary="The stock as CSV", responses=answers(200, headers=("Content-Disposition",), media=CSV))
async def export_stock(store: StoreHere, semicolons: Semicolons = False) -> Response:
    """Return the whole stock as a list for spreadsheets."""
    content = await run_in_threadpool(stock_lists.export, store, ";" if semicolons else ",")
    headers = {"Content-Disposition": 'attachment; filename="stock.csv"', "Cache-Control": "no-store"}
    return Response(content, media_type="text/csv; charset=utf-8", headers=headers)


@router.post("/import", summary="Counts from CSV", responses=_IMPORTED, openapi_extra=takes_csv("item,count\nriser-40,8\n"))
async def import_stock(
    request: Request, store: StoreHere, who: Who = None, why: Why = "", dry_run: DryRun = False, key: Key = None
) -> Response:
    """Write a stock list's counts, bins and prices: all rows or none, every fault named by row."""
    write = await write_of(request, media=CSV)
    note = write.signed(who, why)

    def act() -> Reply:
        if dry_run:
            return _imported(stock_lists.preview(store, write.body))
        return write_once(store, write, lambda c: _imported(stock_lists.take_in(c, write.body, note, write.today)))

    return await answered(act)


@router.post(
    "/{item:path}/entries",
    summary="Receive, break, repair, scrap",
    status_code=201,
    responses=answers(201, model=ChangedLineDocument, headers=("ETag",), problems=("count",)),
    openapi_extra=takes(EntryBody, _ENTRY),
)
async def record_entry(request: Request, item: str, store: StoreHere, key: Key = None) -> Response:
    """Write a change of a count down; `hits` says which reservations and plans are now short of pieces."""
    write = await write_of(request)

    def act() -> Reply:
        body = write.read(EntryBody)
        note = write.note(body)
        return write_once(store, write, lambda c: _changed(stock.enter(c, item, body.do, body.pieces, note, write.today), 201))

    return await answered(act)


@router.get("/{item:path}", summary="One item's stock", responses=_LINE)
async def read_stock(item: str, store: StoreHere, first: From = None, last: To = None) -> Response:
    """Return one stock line, and what is free of it from day to day; its version is the ETag."""

    def act() -> Reply:
        now, today = datetime.now(UTC), date.today()
        free = stock.free_by_day(store, item, stock.days_asked(first, last, today), now, today)
        document = free_by_day_document(free.version, free.span, free.line, free.by_day)
        return Reply.of_version(document, free.line.counted.version)

    return await answered(act)


@router.patch("/{item:path}", summary="Recount, move to another bin", responses=_CHANGED, openapi_extra=takes(CountBody, _COUNT))
async def recount_stock(request: Request, item: str, store: StoreHere, match: Match = None, key: Key = None) -> Response:
    """Write down what was counted and where it lies; `hits` says which reservations and plans are now short of pieces."""
    write = await write_of(request)

    def act() -> Reply:
        write.versions()
        body = write.read(CountBody)
        note, counted = write.note(body), {"count": body.count, "out_of_service": body.out_of_service}

        def upon(expected: int) -> Reply:
            def action(connection: Connection) -> Reply:
                return _changed(stock.recount(connection, item, note, write.today, **counted, bin=body.bin, expected=expected))

            return write_once(store, write, action)

        return write.based_on(upon)

    return await answered(act)


def _changed(change: CountChange, status: int = 200) -> Reply:
    return Reply.of_version(changed_document(change.line, change.hits), change.line.version, status)


def _imported(done: ListImport) -> Reply:
    changes = [row_document(change.row, change.item, change.fields) for change in done.changes]
    return Reply({"rows": done.rows, "written": done.written, "changes": changes, "hits": hit_documents(done.hits)})
