"""What routes are given: the application's parts, wired once."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated, cast

from fastapi import Depends, Request

from inventory.store import Store
from service.access.access import Access
from service.access.caller import Caller
from service.http.guard.body_flow import BodiesHeld
from service.http.jobs.event_stream import EventStreams
from service.http.metrics import Metrics
from service.http.problems import CHALLENGE, HttpProblem
from service.http.server.stop import Stop
from service.http.sheets.sheet_pool import SheetPool
from service.http.weldment_files.reading_pool import ReadingPool
from service.planning_jobs.planning_service import PlanningService
from service.quotes.quote_service import QuoteService


@dataclass(frozen=True, slots=True)
class Context:
    """The application's parts; `store` is None where stock comes from a file."""

    planning: PlanningService
    quotes: QuoteService
    store: Store | None
    metrics: Metrics
    streams: EventStreams
    sheets: SheetPool
    access: Access
    bodies: BodiesHeld
    stop: Stop
    readings: ReadingPool


def context_of(request: Request) -> Context:
    """Return the application's parts."""
    return cast(Context, request.app.state.context)


def planning_of(request: Request) -> PlanningService:
    """Return the use cases of planning."""
    return context_of(request).planning


def store_of(request: Request) -> Store:
    """Return the store; raises Problem ``not-found`` where stock comes from a file."""
    store = context_of(request).store
    if store is None:
        raise HttpProblem("not-found", "this server plans from a stock file and keeps no store")
    return store


def caller_of(request: Request) -> Caller:
    """Return who is asking; raises Problem ``no-key`` where nobody known asks, which an open address allows."""
    caller = caller_if_known(request)
    if caller is None:
        raise HttpProblem("no-key", "send `Authorization: Bearer KEY`", headers={"WWW-Authenticate": CHALLENGE})
    return caller


def caller_if_known(request: Request) -> Caller | None:
    """Return who is asking, None if nobody known does."""
    return cast(Caller | None, request.state.caller)


def access_of(request: Request) -> Access:
    """Return keys, sign-ins and the journal of writes."""
    return context_of(request).access


AccessHere = Annotated[Access, Depends(access_of)]
CallerHere = Annotated[Caller, Depends(caller_of)]
ContextHere = Annotated[Context, Depends(context_of)]
PlanningHere = Annotated[PlanningService, Depends(planning_of)]
StoreHere = Annotated[Store, Depends(store_of)]
