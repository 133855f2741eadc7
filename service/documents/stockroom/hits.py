"""Whom missing pieces hit, on the wire: after a change of a count, after a return, and asked for."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date
from typing import Annotated, Any

from pydantic import Field

from inventory.reservations import State
from inventory.store.counts import Counted
from inventory.store.hits import Hit
from service.documents.answers.answer import Answer
from service.documents.stockroom.days import GivenDays, given_days
from service.documents.stockroom.stock import CountedLineDocument, StockVersion, counted_document


class HitReservationDocument(Answer):
    """A reservation that shares a day on which more is promised than there is."""

    id: Annotated[int, Field(description="the reservation's number")]
    job: str
    state: State
    needed: GivenDays
    count: Annotated[int, Field(description="pieces promised to it")]
    plan: str | None
    rank: int | None


class HitPlanDocument(Answer):
    """A kept plan whose kit is no longer free on its days."""

    plan: str
    rank: int
    needed: GivenDays
    count: Annotated[int, Field(description="pieces it needs")]
    free: int


class HitDocument(Answer):
    """One item promised beyond what is in service, and whom that concerns."""

    item: str
    in_service: Annotated[int, Field(description="pieces that can be used")]
    short: Annotated[int, Field(description="pieces missing on the worst day")]
    first: Annotated[date | None, Field(alias="from", description="first day they are missing; null: a plan without days")]
    reservations: list[HitReservationDocument]
    plans: list[HitPlanDocument]


class HitListDocument(Answer):
    """Every reservation and kept plan that present counts leave short."""

    stock_version: StockVersion
    hits: list[HitDocument]


class ChangedLineDocument(CountedLineDocument):
    """A stock line after a change, and whom that hits."""

    hits: list[HitDocument]


def changed_document(line: Counted, hits: Sequence[Hit]) -> dict[str, Any]:
    """Return a stock line after a change, and whom that hits."""
    return {**counted_document(line), "hits": hit_documents(hits)}


def hit_documents(hits: Sequence[Hit]) -> list[dict[str, Any]]:
    """Return whom missing pieces concern, item by item."""
    return [hit_document(hit) for hit in hits]


def hit_document(hit: Hit) -> dict[str, Any]:
    """Return whom a missing piece concerns."""
    return HitDocument(
        item=hit.item, in_service=hit.usable, short=hit.short, first=hit.from_day,
        reservations=[
            HitReservationDocument(
                id=x.reservation, job=x.job, state=x.state, needed=given_days(x.span), count=x.pieces, plan=x.plan,
                rank=x.plan_rank,
            )
            for x in hit.reservations
        ],
        plans=[
            HitPlanDocument(plan=x.plan, rank=x.rank, needed=given_days(x.span), count=x.pieces, free=x.free) for x in hit.plans
        ],
    ).plain()  # fmt: skip
