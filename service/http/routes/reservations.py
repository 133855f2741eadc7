"""Reservations: pieces promised to jobs over spans of days."""

from __future__ import annotations

from collections.abc import Callable
from typing import Annotated, TypeVar

from fastapi import APIRouter, Path, Query, Request
from fastapi.responses import Response

from inventory.errors import Fault, InvalidDocument
from inventory.limits import Limit as Range
from inventory.limits import escaped
from inventory.reservations import Reservation, State
from inventory.store import Connection, Store
from inventory.store.finding import Wanted
from service.documents.stockroom.body import SignedBody
from service.documents.stockroom.reservations import (
    ExpiredDocument,
    MoveBody,
    OrderBody,
    ReservationDocument,
    ReservationHistoryDocument,
    ReservationPageDocument,
    ReturnBody,
    ReturnedKitDocument,
    pieces_of,
    reservation_document,
    returned_document,
    returned_of,
)
from service.http.dependencies import PlanningHere, StoreHere
from service.http.guard.queries import whole_number
from service.http.pages import Page
from service.http.parameters import Cursor, From, Key, Limit, Match, Named, To
from service.http.reference.routes import answers, takes
from service.http.replies import Reply, answered
from service.http.writes import Write, write_of, write_once
from service.stockroom import reservations
from service.stockroom.expiry import with_overdue_expired
from service.stockroom.reservations import PlainStep

T = TypeVar("T")
router = APIRouter(prefix="/v1/reservations", tags=["reservations"])
_SIGNED = {"who": "planner", "why": "post-118"}
_DAYS = {"from": "2030-03-01", "to": "2030-03-03"}
_ORDER = {"job": "hinge posts", "needed": _DAYS, "lines": [{"item": "riser-40", "count": 4}], **_SIGNED}
_RETURN = {"lines": [{"item": "riser-40", "whole": 3, "broken": 1}], **_SIGNED}
_RANGE = whole_number(Range(1, 2**31 - 1, whole=True))
_HISTORY = answers(200, model=ReservationHistoryDocument, headers=("ETag",))
_MADE = answers(201, model=ReservationDocument, headers=("ETag", "Location"), problems=("short",))
_PROMISED = answers(200, model=ReservationDocument, headers=("ETag",), problems=("short", "step"))
_STEPPED = answers(200, model=ReservationDocument, headers=("ETag",), problems=("step",))
_RETURNED = answers(200, model=ReturnedKitDocument, headers=("ETag",), problems=("step",))
Number = Annotated[int, *_RANGE, Path(description="the reservation's number")]
States = Annotated[list[State] | None, Query(description="only in one of these states")]


@router.get("", summary="List reservations", responses=answers(200, model=ReservationPageDocument))
async def list_reservations(
    store: StoreHere,
    state: States = None,
    item: Named = None,
    job: Named = None,
    plan: Named = None,
    first: From = None,
    last: To = None,
    cursor: Cursor = None,
    limit: Limit = 100,
) -> Response:
    """Return a page of reservations by number; `from` and `to` keep those that share a day with them."""

    def act() -> Reply:
        page = Page.asked(cursor, limit)
        wanted = Wanted(tuple(state or ()), item, job, plan, reservations.wanted_days(first, last))
        found = reservations.find(store, wanted, page.number or 0, page.fetched)
        return Reply(page.document("reservations", found, lambda each: each.id, reservation_document))

    return await answered(act)


@router.post("", summary="Reserve", status_code=201, responses=_MADE, openapi_extra=takes(OrderBody, _ORDER))
async def reserve(request: Request, store: StoreHere, planning: PlanningHere, key: Key = None) -> Response:
    """Promise every line or none; 409 lists each line that is short, how many are free, and from when more are."""
    write = await write_of(request)

    def act() -> Reply:
        body = write.read(OrderBody)
        kit = None if body.plan is None else planning.kit(body.plan) or reservations.kept_plan(store, body.plan)
        span = None if body.needed is None else body.needed.to_span()
        pieces, note = None if body.lines is None else pieces_of(body.lines), write.note(body)
        order = _by_line(body, lambda: reservations.order_of(body.job, span, pieces, kit, body.rank, body.expires_at))

        def action(connection: Connection) -> Reply:
            propose = body.state == "proposed"
            there = reservations.promise(connection, order, kit, note, write.today, propose=propose)
            return _shown(there, 201, f"/v1/reservations/{there.id}")

        return _by_line(body, lambda: _written(store, write, action))

    return await answered(act)


@router.post(
    "/expire",
    summary="Let overdue ones expire",
    responses=answers(200, model=ExpiredDocument),
    openapi_extra=takes(SignedBody, _SIGNED),
)
async def expire_reservations(request: Request, store: StoreHere) -> Response:
    """Expire the reservations not collected in time; also done when somebody else needs the pieces."""
    write = await write_of(request)

    def act() -> Reply:
        note = write.note(write.read(SignedBody))

        def action(connection: Connection) -> Reply:
            gone = reservations.expire(connection, note, write.today)
            return Reply({"expired": [reservation_document(each) for each in gone]})

        return write_once(store, write, action)

    return await answered(act)


@router.get("/{number}", summary="A reservation", responses=_HISTORY)
async def read_reservation(number: Number, store: StoreHere) -> Response:
    """Return a reservation with the steps it took and those it may take; its version is the ETag."""

    def act() -> Reply:
        found = reservations.history(store, number)
        return Reply.of_version(reservation_document(found.reservation, found.steps), found.reservation.version)

    return await answered(act)


@router.post("/{number}/confirm", summary="Promise a proposal", responses=_PROMISED, openapi_extra=takes(SignedBody, _SIGNED))
async def confirm_reservation(
    request: Request, number: Number, store: StoreHere, match: Match = None, key: Key = None
) -> Response:
    """Promise what was proposed, all lines or none."""
    return await _step(request, number, store, reservations.confirm)


@router.post("/{number}/hand_out", summary="Hand the kit out", responses=_PROMISED, openapi_extra=takes(SignedBody, _SIGNED))
async def hand_out(request: Request, number: Number, store: StoreHere, match: Match = None, key: Key = None) -> Response:
    """Give the kit out; taken early it must be free from today on."""
    return await _step(request, number, store, reservations.hand_out)


@router.post("/{number}/take_back", summary="Take pieces back", responses=_RETURNED, openapi_extra=takes(ReturnBody, _RETURN))
async def take_back(request: Request, number: Number, store: StoreHere, match: Match = None, key: Key = None) -> Response:
    """Take all or part of a kit back, broken and missing pieces noted; `hits` says whom those concern."""
    write = await write_of(request)

    def act() -> Reply:
        write.versions()
        body = write.read(ReturnBody)
        back, note = None if body.lines is None else returned_of(body.lines), write.note(body)

        def upon(expected: int) -> Reply:
            def action(connection: Connection) -> Reply:
                done = reservations.take_back(connection, number, back, note, write.today, expected=expected)
                return Reply.of_version(returned_document(done.reservation, done.hits), done.reservation.version)

            return write_once(store, write, action)

        return _by_line(body, lambda: write.based_on(upon))

    return await answered(act)


@router.post("/{number}/release", summary="Give a promise up", responses=_STEPPED, openapi_extra=takes(SignedBody, _SIGNED))
async def release(request: Request, number: Number, store: StoreHere, match: Match = None, key: Key = None) -> Response:
    """Give a reservation up before its kit was handed out."""
    return await _step(request, number, store, reservations.release)


@router.post(
    "/{number}/move",
    summary="Move to other days",
    responses=_PROMISED,
    openapi_extra=takes(MoveBody, {"needed": _DAYS, **_SIGNED}),
)
async def move(request: Request, number: Number, store: StoreHere, match: Match = None, key: Key = None) -> Response:
    """Move a reservation in time, all lines or none; a kit on the table keeps its first day."""
    write = await write_of(request)

    def act() -> Reply:
        write.versions()
        body = write.read(MoveBody)
        note, days = write.note(body), body.needed.to_span()

        def upon(expected: int) -> Reply:
            def action(connection: Connection) -> Reply:
                return _shown(reservations.move(connection, number, days.first, days.last, note, write.today, expected))

            return _written(store, write, action)

        return write.based_on(upon)

    return await answered(act)


async def _step(request: Request, number: int, store: Store, step: PlainStep) -> Response:
    write = await write_of(request)

    def act() -> Reply:
        write.versions()
        note = write.note(write.read(SignedBody))

        def upon(expected: int) -> Reply:
            return _written(store, write, lambda c: _shown(step(c, number, note, write.today, expected)))

        return write.based_on(upon)

    return await answered(act)


def _written(store: Store, write: Write, action: Callable[[Connection], Reply]) -> Reply:
    """Write once; where pieces are short, once more after overdue reservations have expired."""
    return with_overdue_expired(store, write.at, write.today, lambda: write_once(store, write, action))


def _shown(there: Reservation, status: int = 200, location: str | None = None) -> Reply:
    return Reply.of_version(reservation_document(there), there.version, status, location)


def _by_line(body: OrderBody | ReturnBody, act: Callable[[], T]) -> T:
    """Act; faults found by item are named by the line of the body that names it."""
    try:
        return act()
    except InvalidDocument as bad:
        named = [line.item for line in body.lines or ()]
        lines = {f"/lines/{escaped(item)}": f"/lines/{index}" for index, item in enumerate(named)}
        raise InvalidDocument([_at_line(fault, lines) for fault in bad.faults]) from None


def _at_line(fault: Fault, lines: dict[str, str]) -> Fault:
    for item, line in lines.items():
        if fault.pointer == item or fault.pointer.startswith(item + "/"):
            return Fault(line + fault.pointer[len(item) :], fault.wrong, fault.accepted)
    return fault
