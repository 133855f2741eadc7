"""Reservations: pieces promised to jobs, and the steps of their life."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, datetime
from functools import partial
from typing import Protocol

from inventory.availability import Span, asked_span
from inventory.errors import Fault, InvalidDocument, refuse
from inventory.limits import sought_faults
from inventory.reservations import Reservation, Returned
from inventory.store import Connection, Note, Order, Store, documents, finding
from inventory.store import reservations as kept
from inventory.store.catalogue import ANY_VERSION
from inventory.store.errors import NotFound
from inventory.store.finding import StepTaken, Wanted
from inventory.store.hits import Hit
from service.documents.plan_document import plan_document, read_plan
from service.stockroom.hit_reservations import with_hits
from service.stockroom.kits import PlannedKit


@dataclass(frozen=True, slots=True)
class ReservationHistory:
    """A reservation, and the steps it took."""

    reservation: Reservation
    steps: tuple[StepTaken, ...]


@dataclass(frozen=True, slots=True)
class ReturnedKit:
    """A reservation after pieces came back, and whom broken and missing ones leave short."""

    reservation: Reservation
    hits: tuple[Hit, ...]


class PlainStep(Protocol):
    """A step that needs nothing but its reservation: `confirm`, `hand_out`, `release`."""

    def __call__(self, connection: Connection, number: int, note: Note, today: date, expected: int = ANY_VERSION) -> Reservation:
        """Take it; raises NotFound, Stale, IllegalStep, Shortage."""
        ...


confirm: PlainStep = kept.confirm
"""Promise what was only proposed, all lines or none."""
hand_out: PlainStep = kept.hand_out
"""Give the kit out; taken early it must be free from today on."""


expire = kept.expire
"""Expire every reservation not collected in time, as of the note's moment; return them as they are now."""


def wanted_days(first: date | None, last: date | None) -> Span | None:
    """Return the days a reservation must share one with to be listed, None if none is named; one alone stands for both."""
    begin, end = first or last, last or first
    return None if begin is None or end is None else asked_span(begin, end)


def find(store: Store, wanted: Wanted, after: int, limit: int) -> list[Reservation]:
    """Return reservations by number behind `after`; raises InvalidDocument for what no reservation can have."""
    sought = {"/item": wanted.item, "/job": wanted.job, "/plan": wanted.plan}
    refuse(fault for pointer, text in sought.items() for fault in sought_faults(pointer, text))
    return store.read(partial(finding.find, wanted=wanted, after=after, limit=limit))


def history(store: Store, number: int) -> ReservationHistory:
    """Return a reservation and the steps it took; raises NotFound."""

    def read(connection: Connection) -> ReservationHistory:
        return ReservationHistory(kept.reservation(connection, number), tuple(finding.steps(connection, number)))

    return store.read(read)


def order_of(
    job: str,
    span: Span | None,
    pieces: Mapping[str, int] | None,
    kit: PlannedKit | None,
    rank: int,
    expires_at: datetime | None = None,
) -> Order:
    """Return what is to be promised; days and pieces that are not named are those of the plan's kit.

    Raises
    ------
    InvalidDocument
        If days or pieces are named nowhere, the plan has no such rank, or the order cannot be.
    """
    days = span if span is not None else None if kit is None else kit.span
    lines = pieces if pieces is not None else None if kit is None else kit.pieces(rank)
    missing = []
    if days is None:
        missing.append(Fault("/needed", "is missing", "the days the pieces are held: from, to"))
    if lines is None:
        missing.append(Fault("/lines", "is missing", "pieces by item, or the plan they are for"))
    if days is None or lines is None:
        raise InvalidDocument(missing)
    return Order(job, days, lines, expires_at, None if kit is None else kit.id, None if kit is None else rank)


def promise(
    connection: Connection, order: Order, kit: PlannedKit | None, note: Note, today: date, *, propose: bool = False
) -> Reservation:
    """Promise every line of an order or none, or only write it down; the plan it is for is kept with it.

    Raises
    ------
    InvalidDocument
        An item there is none of, by `/lines/ITEM`.
    Shortage
        With every line that is short.
    """
    if kit is not None:
        documents.keep_plan(connection, kit.id, plan_document(kit.plan), kit.request, order.span, note)
    return (kept.propose if propose else kept.reserve)(connection, order, note, today)


def kept_plan(store: Store, id: str) -> PlannedKit:
    """Return a plan somebody reserved before; raises InvalidDocument."""
    try:
        plan = store.read(lambda connection: documents.plan(connection, id))
    except NotFound:
        raise InvalidDocument([Fault("/plan", f"there is no plan {id} with an answer", "the id of a finished plan")]) from None
    return PlannedKit(plan.id, read_plan(dict(plan.document)), plan.request)


def release(connection: Connection, number: int, note: Note, today: date, expected: int = ANY_VERSION) -> Reservation:
    """Give a reservation up before its kit was handed out."""
    return kept.release(connection, number, note, expected)


def move(
    connection: Connection,
    number: int,
    first: date | None,
    last: date | None,
    note: Note,
    today: date,
    expected: int = ANY_VERSION,
) -> Reservation:
    """Move a reservation to other days, all lines or none; a day that is not named stays, or keeps the length of the stay."""
    before = kept.reservation(connection, number).span
    span = asked_span(first or before.first, last or (first and before.from_day(first).last) or before.last)
    return kept.move(connection, number, span, note, today, expected)


def take_back(
    connection: Connection,
    number: int,
    back: Mapping[str, Returned] | None,
    note: Note,
    today: date,
    *,
    rest_whole: bool = False,
    expected: int = ANY_VERSION,
) -> ReturnedKit:
    """Take pieces back (None: all that is outstanding, whole); with `rest_whole`, what is not named comes back whole."""
    there = kept.reservation(connection, number)
    if back is not None and rest_whole:
        back = _with_rest(there, back)
    items = [line.item for line in there.lines]
    return ReturnedKit(
        *with_hits(connection, items, lambda: kept.take_back(connection, number, back, note, expected), note, today)
    )


def _with_rest(there: Reservation, back: Mapping[str, Returned]) -> dict[str, Returned]:
    """Return what comes back, with every outstanding piece that is not named as whole; items of no line stay as they are."""
    rest = {}
    for line in there.lines:
        named = back.get(line.item, Returned())
        whole = max(named.whole, line.outstanding - named.broken - named.missing)
        rest[line.item] = Returned(whole, named.broken, named.missing)
    return {**rest, **{item: pieces for item, pieces in back.items() if item not in rest}}
