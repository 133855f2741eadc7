"""Reservations on the wire: orders, returns, other days, and reservations as sent back."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import asdict
from typing import Annotated, Any, Literal

from pydantic import Field

from inventory import limits
from inventory.availability import ShortLine
from inventory.reservations import LEGAL, Reservation, Returned
from inventory.store.finding import StepTaken
from service.documents.reading.fields import Document, Id, Name, Whole, Within
from service.documents.stockroom.body import Pieces, SignedBody
from service.documents.stockroom.days import DaysDocument, Moment, day_text, days_document, moment_text


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


def pieces_of(lines: list[OrderLineDocument]) -> dict[str, int]:
    """Return the pieces of order lines by item."""
    return {line.item: line.count for line in lines}


def returned_of(lines: list[ReturnLineDocument]) -> dict[str, Returned]:
    """Return what comes back by item."""
    return {line.item: Returned(line.whole, line.broken, line.missing) for line in lines}


def reservation_document(there: Reservation, steps: Sequence[StepTaken] | None = None) -> dict[str, Any]:
    """Return a reservation, with the steps it may take next and, if given, those it took."""
    document: dict[str, Any] = {
        "id": there.id,
        "job": there.job,
        "state": there.state,
        "needed": days_document(there.span),
        "lines": [
            {
                "item": x.item,
                "count": x.pieces,
                "whole": x.whole,
                "broken": x.broken,
                "missing": x.missing,
                "outstanding": x.outstanding,
            }
            for x in there.lines
        ],
        "plan": there.plan,
        "rank": there.plan_rank,
        "made_by": there.made_by,
        "made_at": moment_text(there.made_at),
        "expires_at": moment_text(there.expires_at),
        "allowed": list(LEGAL[there.state]),
        "version": there.version,
    }
    if steps is not None:
        document["steps"] = [{**asdict(step), "at": moment_text(step.at)} for step in steps]
    return document


def short_document(line: ShortLine) -> dict[str, Any]:
    """Return one line that could not be promised."""
    return {
        "item": line.item,
        "name": line.name,
        **days_document(line.span),
        "needed": line.needed,
        "free": line.free,
        "in_service": line.usable,
        "more_free": line.more_free,
        "more_from": day_text(line.more_from),
        "enough_from": day_text(line.enough_from),
        "text": str(line),
    }
