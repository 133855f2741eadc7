"""Reservations on the wire: orders, returns, other days, and reservations as sent back."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import asdict
from datetime import datetime
from typing import Annotated, Any, Literal

from pydantic import Field

from inventory import limits
from inventory.reservations import LEGAL, Reservation, Returned, State, Step
from inventory.store.finding import StepTaken
from inventory.store.hits import Hit
from service.documents.answers.answer import Answer
from service.documents.answers.catalogue import Next
from service.documents.reading.fields import Document, Id, Name, Whole, Within
from service.documents.stockroom.body import Pieces, SignedBody
from service.documents.stockroom.days import DaysDocument, GivenDays, Moment, given_days
from service.documents.stockroom.hits import HitDocument, hit_documents


class OrderLineDocument(Document):
    """Pieces of one item."""

    item: Annotated[Id, Field(description="id of an item of the catalogue")]
    count: Annotated[Pieces, Field(description="pieces to be promised")]


class OrderBody(SignedBody):
    """Pieces to be promised to a job: lines, or the kit of a plan's alternative."""

    job: Annotated[Name, Field(description="what they are for")]
    needed: Annotated[DaysDocument | None, Field(description="days the pieces are held; absent = the plan's own days")] = None
    lines: Annotated[list[OrderLineDocument] | None, Field(description="pieces by item; absent = the plan's kit")] = None
    plan: Annotated[Id | None, Field(description="id of the plan the kit comes from")] = None
    rank: Annotated[Whole, Within(limits.RANK), Field(description="which of the plan's alternatives")] = 1
    state: Annotated[Literal["reserved", "proposed"], Field(description="promised at once, or only written down")] = "reserved"
    expires_at: Annotated[Moment | None, Field(description="not collected by then: it expires")] = None


class ReturnLineDocument(Document):
    """Pieces of one item that come back, by condition."""

    item: Annotated[Id, Field(description="an item of the reservation")]
    whole: Annotated[Pieces, Field(description="pieces fit for use")] = 0
    broken: Annotated[Pieces, Field(description="pieces that go out of service")] = 0
    missing: Annotated[Pieces, Field(description="pieces that will not come back")] = 0


class ReturnBody(SignedBody):
    """A kit, or part of it, that comes back; no lines: everything outstanding, whole."""

    lines: Annotated[list[ReturnLineDocument] | None, Field(description="what comes back")] = None


class MoveBody(SignedBody):
    """Other days for a reservation."""

    needed: Annotated[DaysDocument, Field(description="the days from now on")]


class ReservedLineDocument(Answer):
    """Pieces of one item in a reservation, and how many have come back in which condition."""

    item: str
    count: Annotated[int, Field(description="pieces promised")]
    whole: Annotated[int, Field(description="pieces back, fit for use")]
    broken: Annotated[int, Field(description="pieces back, out of service")]
    missing: Annotated[int, Field(description="pieces that will not come back")]
    outstanding: Annotated[int, Field(description="pieces not yet accounted for")]


class ReservationDocument(Answer):
    """Pieces promised to a job over a span of days."""

    id: Annotated[int, Field(description="its number")]
    job: Annotated[str, Field(description="what the pieces are for")]
    state: State
    needed: GivenDays
    lines: list[ReservedLineDocument]
    plan: Annotated[str | None, Field(description="id of the plan the kit comes from")]
    rank: Annotated[int | None, Field(description="which of the plan's alternatives")]
    made_by: str
    made_at: datetime
    expires_at: Annotated[datetime | None, Field(description="not collected by then: it expires")]
    allowed: Annotated[list[Step], Field(description="the steps it may take next")]
    version: Annotated[int, Field(description="grows with every change; its ETag")]


class StepTakenDocument(Answer):
    """A step a reservation took, and who took it."""

    step: str
    state: Annotated[State, Field(description="the state it led to")]
    who: str
    at: datetime
    why: str
    key: Annotated[str | None, Field(description="id of the API key it came by")]


class ReservationHistoryDocument(ReservationDocument):
    """A reservation, with the steps it took."""

    steps: Annotated[list[StepTakenDocument], Field(description="oldest first")]


class ReturnedKitDocument(ReservationDocument):
    """A reservation after pieces came back, and whom broken and missing ones leave short."""

    hits: list[HitDocument]


class ReservationPageDocument(Answer):
    """A page of reservations, by number."""

    reservations: list[ReservationDocument]
    next: Next


class ExpiredDocument(Answer):
    """The reservations that expired."""

    expired: list[ReservationDocument]


def pieces_of(lines: list[OrderLineDocument]) -> dict[str, int]:
    """Return the pieces of order lines by item."""
    return {line.item: line.count for line in lines}


def returned_of(lines: list[ReturnLineDocument]) -> dict[str, Returned]:
    """Return what comes back by item."""
    return {line.item: Returned(line.whole, line.broken, line.missing) for line in lines}


def reservation_document(there: Reservation, steps: Sequence[StepTaken] | None = None) -> dict[str, Any]:
    """Return a reservation, with the steps it may take next and, if given, those it took."""
    document = ReservationDocument(
        id=there.id, job=there.job, state=there.state, needed=given_days(there.span),
        lines=[
            ReservedLineDocument(
                item=x.item, count=x.pieces, whole=x.whole, broken=x.broken, missing=x.missing, outstanding=x.outstanding
            )
            for x in there.lines
        ],
        plan=there.plan, rank=there.plan_rank, made_by=there.made_by, made_at=there.made_at, expires_at=there.expires_at,
        allowed=list(LEGAL[there.state]), version=there.version,
    ).plain()  # fmt: skip
    if steps is None:
        return document
    return {**document, "steps": [StepTakenDocument(**asdict(step)).plain() for step in steps]}


def returned_document(there: Reservation, hits: Sequence[Hit]) -> dict[str, Any]:
    """Return a reservation after pieces came back, and whom broken and missing ones leave short."""
    return {**reservation_document(there), "hits": hit_documents(hits)}
