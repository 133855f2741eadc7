"""The list of what lies in the store: counts, bins, what is promised, what is free, and who is short of pieces."""

from __future__ import annotations

from datetime import UTC, date, datetime

from fastapi import APIRouter, Request
from fastapi.responses import Response

from inventory.availability import Span
from service.http.dependencies import ContextHere
from service.http.pages import Page
from service.page.forms import Form
from service.page.frame import is_fragment, page
from service.page.store.looked_for import CursorField, FromField, ToField, Words, filled, span_in
from service.stockroom import stock

router = APIRouter()
_ON_ONE_PAGE = 100


@router.get("/store")
def show_store(
    request: Request,
    here: ContextHere,
    text: Words = "",
    bin: Words = "",
    first: FromField = "",
    last: ToField = "",
    cursor: CursorField = None,
) -> Response:
    """Show stock lines by item."""
    if here.store is None:
        return page(request, "store/no_store.html")
    asked, now, today = Page.asked(cursor, _ON_ONE_PAGE), datetime.now(UTC), date.today()
    pairs = (("text", text), ("bin", bin), ("from", first), ("to", last))
    form = Form.of(pairs)
    span = span_in(form, Span(today, today))
    free = stock.free_stock(here.store, span, now, today, asked.after, asked.fetched, bin or None, text or None)
    listed = asked.document("lines", free.lines, lambda each: each.counted.item, lambda each: each)
    return page(
        request,
        "store/stock.html",
        block="list",
        status=422 if form.faults else 200,
        form=form,
        lines=listed["lines"],
        next=None if listed["next"] is None else "/store" + filled((*pairs, ("cursor", listed["next"]))),
        further=cursor is not None,
        start="/store" + filled(pairs),
        sought=bool(text or bin),
        span=span,
        today=today,
        bins=stock.bins(here.store),
        hits=() if is_fragment(request) else stock.all_hits(here.store, today).hits,
    )
