"""Reservations at the storekeeper's desk."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from datetime import date
from functools import partial
from typing import Any, TypeVar

from inventory.availability import Span
from inventory.errors import Fault, InvalidDocument
from inventory.limits import escaped
from inventory.reservations import Reservation
from inventory.store import Connection, Note, Order, Store, documents, finding
from inventory.store import reservations as desk
from inventory.store.errors import NotFound
from inventory.store.finding import Wanted
from service.documents.plan_document import plan_document, read_plan
from service.documents.stockroom import MoveBody, OrderBody, ReturnBody, SignedBody, pieces_of, read_body_as, returned_of
from service.stockroom.counting import hit_documents
from service.stockroom.documents import reservation_document
from service.stockroom.kits import PlannedKit
from service.stockroom.replies import Asked, Page, Reply, written_once
from service.stockroom.sweeping import after_a_sweep

T = TypeVar("T")
FindPlan = Callable[[str], PlannedKit | None]


def found(store: Store, wanted: Wanted, page: Page) -> Reply:
    """Return a page of reservations."""
    several = store.read(partial(finding.find, wanted=wanted, after=page.number or 0, limit=page.limit + 1))
    return Reply(page.document("reservations", several, lambda each: each.id, reservation_document))


def one(store: Store, number: int) -> Reply:
    """Return a reservation and the steps it took."""

    def read(connection: Connection) -> dict[str, Any]:
        return reservation_document(desk.reservation(connection, number), finding.steps(connection, number))

    return Reply.of_version(store.read(read))


def made(store: Store, asked: Asked, find_plan: FindPlan) -> Reply:
    """Promise every line of an order or none, or only write it down."""
    body = read_body_as(OrderBody, asked.body)
    wish = _wish(store, body, find_plan)
    note = Note(body.who, asked.now, body.why)

    def write(connection: Connection) -> Reply:
        act = desk.reserve if body.state == "reserved" else desk.propose
        if wish.kit is not None:
            documents.keep_plan(connection, wish.kit.id, plan_document(wish.kit.plan), wish.kit.request, wish.order.span, note)
        there = act(connection, wish.order, note, asked.today)
        return _reply(there, 201, f"/v1/reservations/{there.id}")

    return by_line(body, lambda: after_a_sweep(store, asked.now, asked.today, lambda: written_once(store, asked, write)))


def stepped(store: Store, number: int, step: str, asked: Asked) -> Reply:
    """Take one step of a reservation's life."""
    expected = asked.expected()
    if step == "take_back":
        return _taken_back(store, number, asked, expected)
    body = read_body_as(MoveBody if step == "move" else SignedBody, asked.body)
    note = Note(body.who, asked.now, body.why)

    def write(connection: Connection) -> Reply:
        if isinstance(body, MoveBody):
            return _reply(desk.move(connection, number, body.needed.to_span(), note, asked.today, expected))
        if step == "reserve":
            return _reply(desk.confirm(connection, number, note, asked.today, expected))
        if step == "hand_out":
            return _reply(desk.hand_out(connection, number, note, asked.today, expected))
        return _reply(desk.release(connection, number, note, expected))

    return after_a_sweep(store, asked.now, asked.today, lambda: written_once(store, asked, write))


def expired(store: Store, asked: Asked) -> Reply:
    """Let go of every reservation nobody came for."""
    body = read_body_as(SignedBody, asked.body)
    gone = store.expire(Note(body.who, asked.now, body.why), asked.today)
    return Reply({"expired": [reservation_document(each) for each in gone]})


def by_line(body: OrderBody | ReturnBody, act: Callable[[], T]) -> T:
    """Act; faults found by item are told by the line of the body that names it."""
    try:
        return act()
    except InvalidDocument as bad:
        named = [line.item for line in body.lines or ()]
        lines = {f"/lines/{escaped(item)}": f"/lines/{index}" for index, item in enumerate(named)}
        raise InvalidDocument([_at_line(fault, lines) for fault in bad.faults]) from None


@dataclass(frozen=True, slots=True)
class Wish:
    """What an order comes down to, and the plan it is for, if any."""

    order: Order
    kit: PlannedKit | None


def _wish(store: Store, body: OrderBody, find_plan: FindPlan) -> Wish:
    kit = None if body.plan is None else find_plan(body.plan) or kept_plan(store, body.plan)
    span = body.needed.to_span() if body.needed is not None else None if kit is None else kit.span
    pieces = pieces_of(body.lines) if body.lines is not None else None if kit is None else kit.pieces(body.rank)
    missing = []
    if span is None:
        missing.append(Fault("/needed", "is missing", "the days the pieces are held: from, to"))
    if pieces is None:
        missing.append(Fault("/lines", "is missing", "pieces by item, or the plan they are for"))
    if span is None or pieces is None:
        raise InvalidDocument(missing)
    rank = None if body.plan is None else body.rank
    order = by_line(body, lambda: Order(body.job, span, pieces, body.expires_at, body.plan, rank))
    return Wish(order, kit)


def kept_plan(store: Store, id: str) -> PlannedKit:
    """Return a plan somebody reserved before; raises InvalidDocument."""
    try:
        kept = store.read(lambda connection: documents.plan(connection, id))
    except NotFound:
        raise InvalidDocument([Fault("/plan", f"there is no plan {id} with an answer", "the id of a finished plan")]) from None
    return PlannedKit(kept.id, read_plan(dict(kept.document)), kept.request)


def _taken_back(store: Store, number: int, asked: Asked, expected: int) -> Reply:
    body = read_body_as(ReturnBody, asked.body)
    back = None if body.lines is None else returned_of(body.lines)
    note = Note(body.who, asked.now, body.why)

    def write(connection: Connection) -> Reply:
        there = desk.take_back(connection, number, back, note, expected)
        hit = hit_documents(connection, [line.item for line in there.lines], asked.today)
        return Reply.of_version({**reservation_document(there), "hits": hit})

    return by_line(body, lambda: written_once(store, asked, write))


def _at_line(fault: Fault, lines: dict[str, str]) -> Fault:
    for item, line in lines.items():
        if fault.pointer == item or fault.pointer.startswith(item + "/"):
            return Fault(line + fault.pointer[len(item) :], fault.wrong, fault.accepted)
    return fault


def _reply(there: Reservation, status: int = 200, location: str | None = None) -> Reply:
    return Reply.of_version(reservation_document(there), status, location)


def wanted(
    states: list[str], item: str | None, job: str | None, plan: str | None, first: date | None, last: date | None
) -> Wanted:
    """Return the filter of a list of reservations."""
    days = None if first is None and last is None else Span(first or last or date.min, last or first or date.max)
    return Wanted(tuple(states), item, job, plan, days)  # type: ignore[arg-type]
