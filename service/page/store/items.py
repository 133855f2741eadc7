"""One item in the store: what is free of it when, who holds it, what happened to it, and what has to be written down."""

from __future__ import annotations

from collections.abc import Callable
from datetime import UTC, date, datetime
from typing import Annotated, get_args
from urllib.parse import quote

from fastapi import APIRouter, Query, Request
from fastapi.responses import Response

from inventory.limits import NAME_LENGTH
from inventory.reservations import HOLDING
from inventory.store import Connection, Store
from inventory.store.counts import LARGEST_COUNT
from inventory.store.finding import Wanted
from service.http.dependencies import StoreHere
from service.http.pages import Page
from service.http.replies import Reply
from service.http.writes import Write, write_once
from service.page.forms import Form, FormHere
from service.page.frame import page
from service.page.store.free_chart import FreeChart, weeks_from
from service.page.store.looked_for import DoneField, FromField, ToField, span_in
from service.page.store.signing import REFUSED, StoreRefusal, done, refused, signed
from service.page.writes import write_of_form
from service.stockroom import catalogue, reservations, stock
from service.stockroom.stock import CountChange, Happened

router = APIRouter()
_ENTRIES, _HOLDERS = 25, 200
HAPPENED: tuple[Happened, ...] = get_args(Happened)
COUNTED = "count"
_FIELDS = {f"/{name}": name for name in ("count", "out_of_service", "bin", "pieces", "do", "who", "why")} | {"": COUNTED}
Before = Annotated[str | None, Query(max_length=400)]


@router.get("/store/items/{item:path}")
def show_item(
    request: Request,
    item: str,
    store: StoreHere,
    first: FromField = "",
    last: ToField = "",
    before: Before = None,
    done: DoneField = "",
) -> Response:
    """Show one stock line."""
    asked = Form.of((name, day) for name, day in (("from", first), ("to", last)) if day)
    return _screen(request, store, item, asked, before=before, done=done)


@router.post("/store/items/{item:path}")
def change_count(request: Request, item: str, store: StoreHere, form: FormHere) -> Response:
    """Write down what was counted, or that pieces came, broke, were repaired or thrown away."""
    write = write_of_form(request, form)
    happened = form.choice("do", (COUNTED, *HAPPENED), "")
    try:
        if happened == COUNTED:
            change = _recount(request, store, form, write, item)
        else:
            change = _entry(request, form, write, item, happened)
        reply = write_once(store, write, lambda connection: _version(change(connection)))
    except REFUSED as error:
        return _screen(request, store, item, Form({}), form=form, refusal=refused(form, error, _FIELDS))
    assert reply.document is not None
    return done(request, form, f"{address(item)}?done={reply.document['version']}")


def address(item: str) -> str:
    """Return where an item is shown."""
    return f"/store/items/{quote(item)}"


def _screen(
    request: Request,
    store: Store,
    item: str,
    asked: Form,
    *,
    form: Form | None = None,
    refusal: StoreRefusal | None = None,
    before: str | None = None,
    done: str = "",
) -> Response:
    now, today = datetime.now(UTC), date.today()
    span = span_in(asked, weeks_from(today))
    free = stock.free_by_day(store, item, span, now, today)
    turned = Page.asked(before, _ENTRIES)
    entries = stock.journal(store, turned.number, turned.fetched, item)
    journal = turned.document("entries", entries, lambda each: each.id, lambda each: each)
    holding = Wanted(states=("proposed", *HOLDING), item=item)
    counted = free.line.counted
    sent = form or Form({})
    return page(
        request,
        "store/item.html",
        block="item",
        status=refusal.status if refusal else 422 if asked.faults else 200,
        item=catalogue.one(store, catalogue.ITEMS, item).document,
        line=free.line,
        counted=counted,
        free=free,
        chart=FreeChart.of(free.by_day, span, counted.usable),
        asked=asked,
        span=span,
        today=today,
        holders=reservations.find(store, holding, 0, _HOLDERS),
        hits=stock.all_hits(store, today, [item]).hits,
        journal=journal["entries"],
        older=journal["next"],
        count_form=sent if sent.raw("do") == COUNTED else Form({}),
        entry_form=sent if sent.raw("do") != COUNTED else Form({}),
        refusal=refusal,
        written=done == str(counted.version),
        address=address(item),
    )


Change = Callable[[Connection], CountChange]


def _recount(request: Request, store: Store, form: Form, write: Write, item: str) -> Change:
    """Return a recount; a field that is left empty, and a bin that is the same, is nothing that was counted."""
    (expected,) = write.versions()
    count, out = (form.whole(name, 0, LARGEST_COUNT) if form.raw(name).strip() else None for name in ("count", "out_of_service"))
    before = stock.counted(store, [item]).get(item)
    lies = form.text("bin", "where they lie", longest=NAME_LENGTH)
    bin = None if before is not None and before.bin == lies else lies
    note = signed(request, form, write)
    return lambda connection: stock.recount(
        connection, item, note, write.today, count=count, out_of_service=out, bin=bin, expected=expected
    )


def _entry(request: Request, form: Form, write: Write, item: str, happened: str) -> Change:
    pieces = form.whole("pieces", 1, LARGEST_COUNT)
    note = signed(request, form, write)
    kind = next(each for each in HAPPENED if each == happened)
    assert pieces is not None
    return lambda connection: stock.enter(connection, item, kind, pieces, note, write.today)


def _version(change: CountChange) -> Reply:
    return Reply({"version": change.line.version})
