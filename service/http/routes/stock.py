"""Stock: what is free when, what came, broke and was counted, and whom that hits."""

from __future__ import annotations

from datetime import datetime
from typing import Annotated

from fastapi import APIRouter, Query, Request
from fastapi.responses import Response
from starlette.concurrency import run_in_threadpool

from inventory.store.counts import EntryKind
from service.documents.stockroom import AdviceBody, CountBody, EntryBody
from service.http.parameters import WRITES, Cursor, From, Key, Limit, Match, StoreHere, Text, To, page, takes
from service.http.reference import answers
from service.http.stockroom_dependencies import advise, answered, asked, asked_csv, today
from service.stockroom import counting, lists

router = APIRouter(prefix="/v1/stock", tags=["stock"])
_ENTRY = {"do": "break", "pieces": 1, "who": "storekeeper", "why": "cracked while clamping"}
_COUNT = {"count": 8, "bin": "A3", "who": "storekeeper", "why": "yearly count"}
_ADVICE = {"budget_cents": 25000, "requests": [{"request": {"format": "holdwright.request/1"}, "times": 12}]}
_CSV = {
    "requestBody": {
        "required": True,
        "content": {"text/csv": {"schema": {"type": "string"}, "example": "item,count\nriser-75,8\n"}},
    }
}
Bin = Annotated[str | None, Query(max_length=200, description="only what lies there")]
Who = Annotated[str, Query(min_length=1, max_length=200, description="person or system that signs for it")]
Why = Annotated[str, Query(max_length=1000, description="the reason")]
DryRun = Annotated[bool, Query(description="say what would change and find every fault, write nothing")]
Since = Annotated[datetime | None, Query(description="only entries from this moment on")]
Semicolons = Annotated[bool, Query(description="semicolons and decimal commas, for spreadsheets that expect them")]


@router.get("", summary="What is free", responses=answers(200))
async def free(
    store: StoreHere,
    first: From = None,
    last: To = None,
    bin: Bin = None,
    text: Text = None,
    cursor: Cursor = None,
    limit: Limit = 100,
) -> Response:
    """Return a page of stock lines by item, with what is free on every day from `from` to `to`, and the `stock_version`."""
    now = today()
    span = counting.days_asked
    return await answered(lambda: counting.free_stock(store, span(first, last, now), now, page(cursor, limit), bin, text))


@router.get("/journal", summary="The journal", responses=answers(200))
async def journal(
    store: StoreHere,
    item: str | None = None,
    kind: EntryKind | None = None,
    since: Since = None,
    cursor: Cursor = None,
    limit: Limit = 100,
) -> Response:
    """Return a page of the journal, newest first: every change of a count with who, when and why."""
    return await answered(lambda: counting.journal(store, page(cursor, limit), item, kind, counting.with_zone(since)))


@router.get("/hits", summary="Whom missing pieces hit", responses=answers(200))
async def hits(store: StoreHere) -> Response:
    """Return every reservation and kept plan that present counts leave short."""
    return await answered(lambda: counting.all_hits(store, today()))


@router.get("/export", summary="The stock as CSV", responses={200: {"content": {"text/csv": {}}}})
async def export(store: StoreHere, semicolons: Semicolons = False) -> Response:
    """Return the whole stock as a list for spreadsheets."""
    content = await run_in_threadpool(lists.exported, store, ";" if semicolons else ",")
    headers = {"Content-Disposition": 'attachment; filename="stock.csv"', "Cache-Control": "no-store"}
    return Response(content, media_type="text/csv; charset=utf-8", headers=headers)


@router.post("/import", summary="Counts from CSV", responses=WRITES, openapi_extra=_CSV)
async def take_in(
    request: Request, store: StoreHere, who: Who, why: Why = "", dry_run: DryRun = False, key: Key = None
) -> Response:
    """Write a stock list's counts, bins and prices: all rows or none, every fault named by row."""
    write = await asked_csv(request)
    return await answered(lambda: counting.listed_in(store, write, who, why, dry_run))


@router.post("/advice", summary="What should we buy?", responses=answers(200), openapi_extra=takes(AdviceBody, _ADVICE))
async def advice(request: Request, store: StoreHere) -> Response:
    """Say which few pieces, bought within a budget, lower the total cost of these jobs most, and what each piece saves.

    Every figure comes from a plan, so this takes a while: the answer comes within `time_limit_s`, and says if it had too little.
    """
    write = await asked(request)
    return await answered(lambda: advise(request, write.body))


@router.get("/{item:path}", summary="One item's stock", responses=answers(200, 404))
async def one(item: str, store: StoreHere, first: From = None, last: To = None) -> Response:
    """Return one stock line, and what is free of it from day to day; its version is the ETag."""
    now = today()
    return await answered(lambda: counting.one_line(store, item, counting.days_asked(first, last, now), now))


@router.post(
    "/{item:path}/entries",
    summary="Receive, break, repair, scrap",
    status_code=201,
    responses=WRITES,
    openapi_extra=takes(EntryBody, _ENTRY),
)
async def enter(request: Request, item: str, store: StoreHere, key: Key = None) -> Response:
    """Write a change of a count down; `hits` says whose promises and plans no longer add up."""
    write = await asked(request)
    return await answered(lambda: counting.entered(store, item, write))


@router.patch("/{item:path}", summary="Recount, move to another bin", responses=WRITES, openapi_extra=takes(CountBody, _COUNT))
async def recount(request: Request, item: str, store: StoreHere, match: Match = None, key: Key = None) -> Response:
    """Write down what was counted and where it lies; `hits` says whose promises and plans no longer add up."""
    write = await asked(request)
    return await answered(lambda: counting.recounted(store, item, write))
