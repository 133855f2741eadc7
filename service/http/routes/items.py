"""Items: the catalogue of hardware."""

from __future__ import annotations

import json
from collections.abc import Sequence
from typing import Annotated, Any

from fastapi import APIRouter, Query, Request
from fastapi.responses import Response
from pydantic import BaseModel
from starlette.concurrency import run_in_threadpool

from inventory.items import Kind
from inventory.store import Store
from service.documents import read_table
from service.documents.answers.catalogue import ItemPageDocument
from service.documents.items import ItemDocument
from service.drawings.file_format import FileFormat, installed
from service.drawings.items.item_formats import ITEM_FORMATS
from service.drawings.items.shown_items import ShownItems
from service.drawings.sheets.body_orders import ItemsOrder
from service.http import catalogue
from service.http.dependencies import Context, ContextHere, StoreHere
from service.http.guard.body import JSON
from service.http.pages import Page
from service.http.parameters import Cursor, Key, Limit, Match, Text
from service.http.problems import HttpProblem
from service.http.reference.routes import Answers, accepts, answers, parameter
from service.http.replies import Reply, answered
from service.http.sheets.drawn_reply import drawn_answers, drawn_reply, not_acceptable
from service.http.sheets.negotiation import preferred_to
from service.stockroom.catalogue import ITEMS, find_items, find_tables, one


def _both(model: type[BaseModel], *headers: str) -> Answers:
    """Return what a route answers that shows items as a document or drawn, for its `responses`."""
    drawn, told = (
        drawn_answers(ITEM_FORMATS, "the document, or the drawing"),
        answers(200, model=model, headers=(*headers, "Vary")),
    )
    merged = {**drawn[200], "model": model, "headers": {**drawn[200]["headers"], **told[200]["headers"]}}
    return {**drawn, **told, 200: merged}


router = APIRouter(prefix="/v1/items", tags=["items"])
_ITEM = answers(200, model=ItemDocument, headers=("ETag",))
_ADDED = answers(201, model=ItemDocument, headers=("ETag", "Location"), problems=("exists",))
_ACCEPT = {"parameters": [parameter("header", "Accept", "a media type; absent = the document, not a drawing", ())]}
OfKind = Annotated[Kind | None, Query(description="only this sort of hardware")]


@router.get("", summary="List items", responses=_both(ItemPageDocument), openapi_extra=_ACCEPT)
async def list_items(
    request: Request,
    store: StoreHere,
    here: ContextHere,
    kind: OfKind = None,
    text: Text = None,
    cursor: Cursor = None,
    limit: Limit = 100,
) -> Response:
    """Return a page of items by id: `items` with `version` and `document` each, and the cursor `next`.

    If `Accept` likes a drawing better, the items of the page beside each other.
    """
    format = _drawing_wanted(request)
    page = Page.asked(cursor, limit)
    if format is None:

        def act() -> Reply:
            return catalogue.page_reply("items", find_items(store, kind, text, page.after, page.fetched), page)

        return _varied(await answered(act))
    found = await run_in_threadpool(lambda: find_items(store, kind, text, page.after, limit))
    if not found:
        raise HttpProblem("not-found", "no item to draw is on this page")
    return await _drawn(request, here, store, [each.document for each in found], "catalogue", format)


@router.post("", summary="Add an item", status_code=201, responses=_ADDED, openapi_extra=accepts("item", id="adj-25-b"))
async def add_item(request: Request, store: StoreHere, key: Key = None) -> Response:
    """Take a new item into the catalogue, with no pieces counted yet."""
    return await catalogue.added(request, store, ITEMS)


@router.get("/{id:path}", summary="An item", responses=_both(ItemDocument, "ETag"), openapi_extra=_ACCEPT)
async def read_item(request: Request, id: str, store: StoreHere, here: ContextHere) -> Response:
    """Return the item's document; its version is the ETag. If `Accept` likes a drawing better, its solids, pegs and pads.

    STEP has the solids alone, DXF and SVG have pegs and pads too; pegs are drawn at the pitch of the first table there is.
    """
    format = _drawing_wanted(request)
    if format is None:
        return _varied(await catalogue.shown(store, ITEMS, id))
    found = await run_in_threadpool(lambda: one(store, ITEMS, id))
    return await _drawn(request, here, store, [found.document], id, format)


@router.put("/{id:path}", summary="Change an item", responses=_ITEM, openapi_extra=accepts("item"))
async def change_item(request: Request, id: str, store: StoreHere, match: Match = None, key: Key = None) -> Response:
    """Replace the item's document; plans made before keep what they were made with."""
    return await catalogue.changed(request, store, ITEMS, id)


@router.delete("/{id:path}", summary="Remove an item", status_code=204, responses=answers(204, problems=("in-use",)))
async def remove_item(request: Request, id: str, store: StoreHere, match: Match = None, key: Key = None) -> Response:
    """Take an item out of the catalogue; refused while pieces are counted or reservations or plans name it."""
    return await catalogue.removed(request, store, ITEMS, id)


def _drawing_wanted(request: Request) -> FileFormat[ShownItems] | None:
    """Return the format of a drawing if `Accept` likes it better than the document; raises Problem ``not-acceptable``."""
    accept = ", ".join(request.headers.getlist("accept"))
    found = preferred_to(accept, installed(ITEM_FORMATS), JSON)
    if found is None and preferred_to(accept, ITEM_FORMATS, JSON) is not None:
        raise not_acceptable(accept, ITEM_FORMATS, JSON)
    return found


async def _drawn(
    request: Request, here: Context, store: Store, documents: Sequence[dict[str, Any]], name: str, format: FileFormat[ShownItems]
) -> Response:
    """Answer with items drawn, their pegs at the pitch of the first table there is."""
    tables = await run_in_threadpool(lambda: find_tables(store, "", 1))
    pitch = read_table(tables[0].document).pitch if tables else None
    order = ItemsOrder(tuple(json.dumps(document) for document in documents), format.name, pitch)
    return await drawn_reply(request, here, order, name, format)


def _varied(answer: Response) -> Response:
    answer.headers["Vary"] = "Accept"
    return answer
