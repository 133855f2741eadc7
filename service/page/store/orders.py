"""Reserving: the kit of a plan, or pieces typed line by line."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from datetime import date, datetime, time, timedelta
from typing import Annotated

from fastapi import APIRouter, Query, Request
from fastapi.responses import Response

from inventory.availability import Span
from inventory.errors import InvalidDocument
from inventory.limits import ID_LENGTH, RANK, escaped
from inventory.store import Connection, Store
from inventory.store.reservations import MOST_PIECES, Order
from service.http.dependencies import PlanningHere, StoreHere
from service.http.replies import Reply
from service.http.writes import write_once
from service.page.forms import Form, FormHere
from service.page.frame import page
from service.page.store.signing import REFUSED, StoreRefusal, done, refused, signed
from service.page.writes import write_of_form
from service.planning_jobs.planning_service import PlanningService
from service.stockroom import reservations, stock
from service.stockroom.expiry import with_overdue_expired
from service.stockroom.kits import PlannedKit

router = APIRouter()
_ROWS, _MORE, _MOST_ROWS, _ALL = 4, 4, 100, 1_000_000
_FIELDS = {
    "/job": "job", "/needed/from": "from", "/needed/to": "to", "/needed": "from", "/from": "from", "/to": "to",
    "/expires_at": "expires", "/plan": "plan", "/rank": "plan",
}  # fmt: skip
Plan = Annotated[str, Query(max_length=ID_LENGTH)]
Rank = Annotated[int, Query(ge=int(RANK.low), le=int(RANK.high))]


@router.get("/store/reservations/new")
def show_order(request: Request, store: StoreHere, planning: PlanningHere, plan: Plan = "", rank: Rank = 1) -> Response:
    """Show the form, filled in with the kit and the days of a plan where one is named."""
    kit = _kit(planning, store, plan)
    if kit is not None:
        kit.pieces(rank)
    return _screen(request, store, Form({}), kit, rank)


@router.post("/store/reservations/new")
def make_reservation(request: Request, store: StoreHere, planning: PlanningHere, form: FormHere) -> Response:
    """Promise every line or none, or only write it down."""
    kit = _kit(planning, store, form.text("plan", "the id of a plan", longest=ID_LENGTH))
    rank = form.whole("rank", int(RANK.low), int(RANK.high), otherwise=1) or 1
    if "more" in form:
        return _screen(request, store, form, kit, rank, rows=_rows(form) + _MORE)
    write, names = write_of_form(request, form), dict(_FIELDS)
    propose = form.choice("state", ("reserved", "proposed"), "reserved") == "proposed"
    try:
        order = _order(form, kit, rank, names)
        note = signed(request, form, write)
        assert order is not None

        def action(connection: Connection) -> Reply:
            there = reservations.promise(connection, order, kit, note, write.today, propose=propose)
            return Reply({"number": there.id, "version": there.version}, 201)

        reply = with_overdue_expired(store, write.at, write.today, lambda: write_once(store, write, action))
    except REFUSED as error:
        return _screen(request, store, form, kit, rank, refused(form, error, names))
    assert reply.document is not None
    return done(request, form, "/store/reservations/{number}?done={version}".format(**reply.document))


def _kit(planning: PlanningService, store: Store, plan: str) -> PlannedKit | None:
    return None if not plan else planning.kit(plan) or reservations.kept_plan(store, plan)


def _order(form: Form, kit: PlannedKit | None, rank: int, names: dict[str, str]) -> Order | None:
    """Return what is to be promised, None if a field cannot be read; `names` learns where each line's faults belong."""
    job = form.text("job", "what the pieces are for", needed=True)
    first, last, collected = form.day("from", needed=True), form.day("to", needed=True), form.day("expires")
    pieces = None if kit is not None else _lines(form, names)
    if form.faults or first is None or last is None:
        return None
    expires_at = None if collected is None else _end_of(collected)
    return reservations.order_of(job, Span(first, last), pieces, kit, rank, expires_at)


def _lines(form: Form, names: dict[str, str]) -> Mapping[str, int]:
    """Return the pieces by item; rows left empty are none."""
    pieces: dict[str, int] = {}
    for row in range(1, _rows(form) + 1):
        item = form.text(f"item_{row}", "the id of an item", longest=ID_LENGTH)
        if not item and not form.raw(f"pieces_{row}").strip():
            continue
        if not item:
            form.fault(f"item_{row}", "is empty", "the id of an item")
        if item in pieces:
            form.fault(f"item_{row}", f"{item} has a line above", "each item once")
        names[f"/lines/{escaped(item)}/count"] = f"pieces_{row}"
        names[f"/lines/{escaped(item)}"] = f"item_{row}"
        pieces[item] = form.whole(f"pieces_{row}", 1, MOST_PIECES) or 0
    names["/lines"] = "item_1"
    return pieces


def _rows(form: Form) -> int:
    """Return how many rows for lines a form has."""
    return min(_MOST_ROWS, max(_numbers(form), default=_ROWS))


def _numbers(form: Form) -> Iterator[int]:
    for name in form.names():
        if found := re.fullmatch(r"item_([1-9][0-9]{0,2})", name):
            yield int(found[1])


def _end_of(day: date) -> datetime:
    """Return the moment a day ends by the shop's clock, which is the server's."""
    return datetime.combine(day + timedelta(days=1), time()).astimezone()


def _screen(
    request: Request,
    store: Store,
    form: Form,
    kit: PlannedKit | None,
    rank: int,
    refusal: StoreRefusal | None = None,
    rows: int | None = None,
) -> Response:
    write = write_of_form(request, form) if form.fields else None
    today = date.today() if write is None else write.today
    span = _days_of(form, (kit.span if kit is not None else None) or Span(today, today))
    free = stock.free_stock(store, span, datetime.now().astimezone(), today, "", _ALL)
    lines = {line.counted.item: line for line in free.lines}
    return page(
        request,
        "store/order.html",
        block="order",
        status=refusal.status if refusal else 200,
        form=form,
        kit=kit,
        rank=rank,
        pieces=None if kit is None else kit.pieces(rank),
        name="" if kit is None else _name(kit),
        span=span,
        stock=lines,
        refusal=refusal,
        short={line.item: line for line in refusal.short} if refusal else {},
        rows=rows or _rows(form),
        today=today,
    )


def _days_of(form: Form, otherwise: Span) -> Span:
    """Return the days a form names as far as they can be read, else the others; its faults were told elsewhere."""
    reading = Form(form.fields)
    first, last = reading.day("from"), reading.day("to")
    try:
        return Span(first or otherwise.first, last or otherwise.last)
    except InvalidDocument:
        return otherwise


def _name(kit: PlannedKit) -> str:
    """Return what a plan's kit is for: the name of its weldment."""
    weldment = (kit.request or {}).get("weldment") or {}
    return str(weldment.get("name") or "")
