"""Quotes: prices for many weldments at many quantities. Ask, follow, look, end."""

from __future__ import annotations

import json
import time
from collections.abc import AsyncIterator
from typing import Annotated, Any

from fastapi import APIRouter, Header, Path, Request
from fastapi.responses import JSONResponse, Response, StreamingResponse
from starlette.concurrency import run_in_threadpool

from inventory import limits
from inventory.store.errors import NotFound
from service.demo import MAIN_JOB, job_document
from service.documents.quotes.inquiry import LARGEST_INQUIRY, MOST_REQUESTS, InquiryDocument
from service.documents.quotes.quote_job import QuoteJobDocument
from service.drawings.prices.price_curve import price_curve
from service.exchange import quote_csv
from service.http.dependencies import Context, ContextHere
from service.http.guard.body import CSV, JSON, read_body
from service.http.guard.headers import event_number, wait_preferred
from service.http.guard.queries import whole_number
from service.http.jobs.client_presence import while_here
from service.http.jobs.event_stream import STREAMED, server_event
from service.http.jobs.job_replies import Prefer, Urgency, submission_key
from service.http.parameters import Key
from service.http.reference.routes import EVENTS, answers, takes
from service.http.server.stop import stopping
from service.http.writes import asked_of
from service.quotes.kept_quote import document_of, lines_of, prices_of, told
from service.quotes.quote_service import QuoteService
from service.records.jobs import as_text
from service.records.quotes import KeptQuote

router = APIRouter(prefix="/v1/quotes", tags=["quotes"])
_HEADERS = ("Location", "Preference-Applied", "Retry-After")
_TAKEN = answers(202, 200, model=QuoteJobDocument, headers=_HEADERS)
_LOOK_S, _STILL_HERE_S = 1.0, 15.0
NDJSON = "application/x-ndjson"
EXAMPLE: dict[str, Any] = {
    "format": "holdwright.inquiry/1", "name": "spring offers", "requests": {"lug": json.loads(job_document(MAIN_JOB))},
    "lines": [{"request": "lug", "quantity": 40, "customer": "K-104"}, {"request": "lug", "quantity": 300}],
}  # fmt: skip
LastEvent = Annotated[str | None, Header(alias="Last-Event-ID", description="number of the last event that was heard")]
_NUMBER = whole_number(limits.Limit(1, MOST_REQUESTS, "", whole=True))


def _quotes(here: Context) -> QuoteService:
    return here.quotes


@router.post("", summary="Ask for prices", responses=_TAKEN, openapi_extra=takes(InquiryDocument, EXAMPLE), status_code=202)
async def submit_quote(
    request: Request, here: ContextHere, priority: Urgency = "batch", prefer: Prefer = None, key: Key = None
) -> Response:  # fmt: skip
    """Take an inquiry in, up to 20 MB: JSON, or CSV with the columns weldment (a plan's id), quantity, name, customer.

    202 with the quote's address in `Location`, or 200 with the answer if `Prefer: wait=N` was long enough. Its plans are made by
    all workers; one serves all quantities at which its kit is the cheapest.
    """
    csv = request.headers.get("content-type", "").partition(";")[0].strip().lower() == CSV
    raw = await read_body(request, here.planning.settings, media=CSV if csv else JSON, most=LARGEST_INQUIRY)
    given = submission_key(request, key, b"quote\n" + raw)
    quote = await while_here(request, _quotes(here).submit(raw, csv, given, priority=priority))
    return await _answered_within(here, quote, prefer)


@router.get("/{id}", summary="A quote and how far it is", responses=answers(200, model=QuoteJobDocument, headers=_HEADERS))
async def read_quote(id: str, here: ContextHere, prefer: Prefer = None) -> Response:
    """Return the quote as far as it goes; with `Prefer: wait=N`, once it has ended or N seconds have passed."""
    quote = await run_in_threadpool(_quotes(here).quote, id)
    wait = wait_preferred(prefer, here.planning.settings.wait)
    return await _shown(quote if wait is None or not quote.open else await _until_ended(here, id, wait), wait)


@router.get("/{id}/events", summary="Follow a quote", responses=answers(200, media=EVENTS, problems=("busy",)))
async def follow_quote(id: str, here: ContextHere, last_event_id: LastEvent = None) -> StreamingResponse:
    """Return server-sent events: `lines` with the lines of each request once they are priced, numbered from 1, then `end`."""
    await run_in_threadpool(_quotes(here).quote, id)
    return here.streams.accepted(_event_stream(here, id, max(0, event_number(last_event_id) - 1)))


@router.head("/{id}/events", include_in_schema=False)
async def follow_quote_headers(id: str, here: ContextHere) -> Response:
    """Return the headers of a quote's events, whose body would go on for as long as the quote is worked on."""
    await run_in_threadpool(_quotes(here).quote, id)
    return Response(headers=STREAMED, media_type=EVENTS)


@router.head("/{id}/lines", include_in_schema=False)
async def stream_quote_lines_headers(id: str, here: ContextHere) -> Response:
    """Return the headers of a quote's lines, whose body would go on for as long as the quote is worked on."""
    await run_in_threadpool(_quotes(here).quote, id)
    return Response(headers=STREAMED, media_type=NDJSON)


@router.get("/{id}/lines", summary="The lines as they come", responses=answers(200, media=NDJSON, problems=("busy",)))
async def stream_quote_lines(id: str, here: ContextHere) -> StreamingResponse:
    """Return a JSON document a line of text, each a line of the quote, as they are priced; it ends with the quote."""
    await run_in_threadpool(_quotes(here).quote, id)
    return here.streams.accepted(_line_stream(here, id), NDJSON)


@router.get("/{id}/csv", summary="The lines as CSV", responses=answers(200, media=CSV, headers=("Content-Disposition",)))
async def export_quote(id: str, here: ContextHere) -> Response:
    """Return all lines as CSV that spreadsheets open; those that have no price yet are empty."""
    quote = await run_in_threadpool(_quotes(here).quote, id)
    content = await run_in_threadpool(lambda: quote_csv.written(document_of(quote)["lines"]))
    disposition = {"Content-Disposition": f'attachment; filename="quote-{quote.id}.csv"', "Cache-Control": "no-store"}
    return Response(content, media_type="text/csv; charset=utf-8", headers=disposition)


@router.get("/{id}/curves/{number}", summary="Price over quantity", responses=answers(200, media="image/svg+xml"))
async def read_price_curve(
    id: str, number: Annotated[int, *_NUMBER, Path(description="which of the quote's requests, from 1")], here: ContextHere
) -> Response:  # fmt: skip
    """Return a drawing of what one of the requests costs over quantity: by fixture, by hand, in a dedicated fixture."""
    quote = await run_in_threadpool(_quotes(here).quote, id)
    group = next((each for each in quote.groups if each.number == number - 1), None)
    if group is None:
        raise NotFound("request of the quote", str(number))
    prices = prices_of(quote, group)
    if not prices.known.pieces:
        raise NotFound("price of the request", str(number))
    drawn = await run_in_threadpool(
        lambda: price_curve(
            group.weldment, prices.known, prices.basis, prices.quantities, prices.break_even, here.planning.settings.currency
        )
    )
    headers = {"Cache-Control": "no-store", "Content-Security-Policy": "sandbox; default-src 'none'; style-src 'unsafe-inline'"}
    return Response(drawn, media_type="image/svg+xml", headers=headers)


@router.delete("/{id}", summary="End a quote", responses=answers(200, model=QuoteJobDocument, headers=_HEADERS))
async def cancel_quote(request: Request, id: str, here: ContextHere) -> Response:
    """End a quote with the prices that are known by now; its plans under way are stopped."""
    return await _shown(await run_in_threadpool(_quotes(here).cancel, id, asked_of(request)), None)


async def _answered_within(here: Context, quote: KeptQuote, prefer: str | None) -> Response:
    wait = wait_preferred(prefer, here.planning.settings.wait)
    if wait is not None and quote.open:
        quote = await _until_ended(here, quote.id, wait)
    return await _shown(quote, wait, 202 if quote.open else 200)


async def _until_ended(here: Context, id: str, seconds: float) -> KeptQuote:
    """Return the quote once it has ended, or as it stands after `seconds`, or when the server is to stop."""
    ends = time.monotonic() + seconds
    with here.planning.news.waiting_for(id) as news:
        while True:
            quote = await run_in_threadpool(_quotes(here).quote, id)
            left = ends - time.monotonic()
            if not quote.open or left <= 0 or stopping():
                return quote
            await news.next(min(_LOOK_S, left))


async def _shown(quote: KeptQuote, wait: float | None, status: int = 200) -> Response:
    headers = {"Location": f"/v1/quotes/{quote.id}", "Cache-Control": "no-store"}
    if wait is not None:
        headers["Preference-Applied"] = f"wait={wait:g}"
    if quote.open:
        headers["Retry-After"] = "1"
    return JSONResponse(await run_in_threadpool(_document, quote), status, headers)


def _document(quote: KeptQuote) -> dict[str, Any]:
    there = {group.number for group in quote.groups if told(quote, group)}
    document = QuoteJobDocument(
        id=quote.id, name=quote.name, state=quote.state, created_at=quote.created_at, finished_at=quote.finished_at,
        lines_told=sum(line["group"] in there for line in quote.lines), lines=len(quote.lines), quote={},
    ).plain()  # fmt: skip
    return {**document, "quote": document_of(quote)}


async def _told_groups(here: Context, id: str, after: int) -> AsyncIterator[tuple[int, list[dict[str, Any]]] | KeptQuote | None]:
    """Yield the lines of each group that has ended, with its number among them; None now and then; last the quote itself."""
    with here.planning.news.waiting_for(id) as news:
        while True:
            quote = await run_in_threadpool(_quotes(here).records.get, id)
            if quote is None:  # no longer kept
                return
            for group in sorted((each for each in quote.groups if (each.ended or 0) > after), key=lambda each: each.ended or 0):
                after = group.ended or after
                yield after, await run_in_threadpool(lines_of, quote, group)
            if not quote.open:
                yield quote
                return
            yield None
            await news.next(_LOOK_S)


async def _event_stream(here: Context, id: str, after: int) -> AsyncIterator[str]:
    said = time.monotonic()
    async for found in _told_groups(here, id, after):
        if isinstance(found, KeptQuote):
            yield server_event("end", {"state": found.state})
        elif found is not None:
            yield server_event("lines", {"lines": found[1]}, found[0])
            said = time.monotonic()
        elif time.monotonic() - said >= _STILL_HERE_S:
            yield ": still here\n\n"
            said = time.monotonic()


async def _line_stream(here: Context, id: str) -> AsyncIterator[str]:
    async for found in _told_groups(here, id, 0):
        if isinstance(found, KeptQuote):
            for group in found.groups:
                if group.ended is None:  # it was cancelled before these were priced
                    for line in await run_in_threadpool(lines_of, found, group):
                        yield as_text(line) + "\n"
        elif found is not None:
            for line in found[1]:
                yield as_text(line) + "\n"
