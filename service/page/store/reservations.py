"""The list of reservations: who holds what, on a line of days and as a table."""

from __future__ import annotations

from datetime import date
from typing import Annotated, Literal, get_args

from fastapi import APIRouter, Query, Request
from fastapi.responses import Response

from inventory.availability import Span
from inventory.errors import InvalidDocument
from inventory.reservations import HOLDING, STATES, Reservation, State
from inventory.store.finding import Wanted
from service.http.dependencies import StoreHere
from service.http.pages import Page
from service.page.forms import Form
from service.page.frame import page
from service.page.store.looked_for import CursorField, FromField, ToField, Words, filled
from service.page.store.time_line import by_item, by_reservation, overdue_days, span_shown
from service.stockroom import reservations, stock

router = APIRouter()
_ON_ONE_PAGE = 50
Rows = Literal["reservation", "item"]
StatesWanted = Literal["open", "all", "proposed", "reserved", "on_the_table", "returned", "released", "expired"]
_STATES: dict[StatesWanted, tuple[State, ...]] = {
    "open": ("proposed", *HOLDING),
    "all": (),
    **{state: (state,) for state in STATES},
}


@router.get("/store/reservations")
def show_reservations(
    request: Request,
    store: StoreHere,
    state: Annotated[StatesWanted, Query()] = "open",
    job: Words = "",
    item: Words = "",
    first: FromField = "",
    last: ToField = "",
    rows: Annotated[Rows, Query()] = "reservation",
    cursor: CursorField = None,
) -> Response:
    """Show reservations by number, those in one of some states, for one job, with one item, on some days."""
    asked, today = Page.asked(cursor, _ON_ONE_PAGE), date.today()
    pairs = (("state", state), ("job", job), ("item", item), ("from", first), ("to", last), ("rows", rows))
    form = Form.of(pairs)
    days = _days_wanted(form)
    wanted = Wanted(_STATES[state], item or None, job or None, None, days)
    found: list[Reservation] = reservations.find(store, wanted, asked.number or 0, asked.fetched)
    listed = asked.document("found", found, lambda each: each.id, lambda each: each)
    shown: list[Reservation] = listed["found"]
    span = span_shown(shown, today) if days is None else days
    names = {id: line.name for id, line in stock.counted(store, sorted({x.item for each in shown for x in each.lines})).items()}
    return page(
        request,
        "store/reservations.html",
        block="list",
        status=422 if form.faults else 200,
        form=form,
        found=shown,
        names=names,
        line=by_item(shown, names, span, today) if rows == "item" else by_reservation(shown, span, today),
        rows=rows,
        overdue={each.id: overdue_days(each, today) for each in shown},
        next=None if listed["next"] is None else "/store/reservations" + filled((*pairs, ("cursor", listed["next"]))),
        further=cursor is not None,
        start="/store/reservations" + filled(pairs),
        states=get_args(StatesWanted),
        today=today,
    )


def _days_wanted(form: Form) -> Span | None:
    """Return the days a reservation must share one with, None if none are named; days that cannot be are told at their field."""
    try:
        return reservations.wanted_days(form.day("from"), form.day("to"))
    except InvalidDocument as bad:
        form.faults += bad.faults
        return None
