"""Reservations: pieces promised to jobs over spans of days."""

from __future__ import annotations

from typing import Annotated

from fastapi import APIRouter, Path, Query, Request
from fastapi.responses import Response

from inventory.reservations import State
from service.documents.stockroom import MoveBody, OrderBody, ReturnBody, SignedBody
from service.http.parameters import WRITES, Cursor, From, Key, Limit, Match, StoreHere, To, page, takes
from service.http.reference import answers
from service.http.stockroom_dependencies import answered, asked, find_plan
from service.stockroom import reserving

router = APIRouter(prefix="/v1/reservations", tags=["reservations"])
_SIGNED = {"who": "planner", "why": "order 4711"}
_DAYS = {"from": "2027-03-01", "to": "2027-03-03"}
_ORDER = {"job": "hinge posts", "needed": _DAYS, "lines": [{"item": "riser-75", "count": 4}], **_SIGNED}
_RETURN = {"lines": [{"item": "riser-75", "whole": 3, "broken": 1}], **_SIGNED}
Number = Annotated[int, Path(ge=1, le=2**31 - 1, description="the reservation's number")]
States = Annotated[list[State] | None, Query(description="only in one of these states")]


@router.get("", summary="List reservations", responses=answers(200))
async def listed(
    store: StoreHere,
    state: States = None,
    item: str | None = None,
    job: str | None = None,
    plan: str | None = None,
    first: From = None,
    last: To = None,
    cursor: Cursor = None,
    limit: Limit = 100,
) -> Response:
    """Return a page of reservations by number; `from` and `to` keep those that share a day with them."""
    states = [str(each) for each in state or ()]
    return await answered(
        lambda: reserving.found(store, reserving.wanted(states, item, job, plan, first, last), page(cursor, limit))
    )


@router.post("", summary="Reserve", status_code=201, responses=WRITES, openapi_extra=takes(OrderBody, _ORDER))
async def make(request: Request, store: StoreHere, key: Key = None) -> Response:
    """Promise every line or none; 409 lists each line that is short, how many are free, and from when more are."""
    write = await asked(request)
    return await answered(lambda: reserving.made(store, write, lambda id: find_plan(request, id)))


@router.post("/expire", summary="Let go of forgotten ones", responses=answers(200), openapi_extra=takes(SignedBody, _SIGNED))
async def expire(request: Request, store: StoreHere) -> Response:
    """Let go of every reservation nobody came for; also done when somebody else needs the pieces."""
    write = await asked(request)
    return await answered(lambda: reserving.expired(store, write))


@router.get("/{number}", summary="A reservation", responses=answers(200, 404))
async def read(number: Number, store: StoreHere) -> Response:
    """Return a reservation with the steps it took and those it may take; its version is the ETag."""
    return await answered(lambda: reserving.one(store, number))


async def _step(request: Request, number: int, store: StoreHere, step: str) -> Response:
    write = await asked(request)
    return await answered(lambda: reserving.stepped(store, number, step, write))


@router.post("/{number}/reserve", summary="Promise a proposal", responses=WRITES, openapi_extra=takes(SignedBody, _SIGNED))
async def confirm(request: Request, number: Number, store: StoreHere, match: Match = None, key: Key = None) -> Response:
    """Promise what was proposed, all lines or none."""
    return await _step(request, number, store, "reserve")


@router.post("/{number}/hand_out", summary="Hand the kit out", responses=WRITES, openapi_extra=takes(SignedBody, _SIGNED))
async def hand_out(request: Request, number: Number, store: StoreHere, match: Match = None, key: Key = None) -> Response:
    """Give the kit out; taken early it must be free from today on."""
    return await _step(request, number, store, "hand_out")


@router.post("/{number}/take_back", summary="Take pieces back", responses=WRITES, openapi_extra=takes(ReturnBody, _RETURN))
async def take_back(request: Request, number: Number, store: StoreHere, match: Match = None, key: Key = None) -> Response:
    """Take all or part of a kit back, broken and missing pieces noted; `hits` says whom those concern."""
    return await _step(request, number, store, "take_back")


@router.post("/{number}/release", summary="Give a promise up", responses=WRITES, openapi_extra=takes(SignedBody, _SIGNED))
async def release(request: Request, number: Number, store: StoreHere, match: Match = None, key: Key = None) -> Response:
    """Give a reservation up before its kit was handed out."""
    return await _step(request, number, store, "release")


@router.post(
    "/{number}/move", summary="Move to other days", responses=WRITES, openapi_extra=takes(MoveBody, {"needed": _DAYS, **_SIGNED})
)
async def move(request: Request, number: Number, store: StoreHere, match: Match = None, key: Key = None) -> Response:
    """Move a reservation in time, all lines or none; a kit on the table keeps its first day."""
    return await _step(request, number, store, "move")
