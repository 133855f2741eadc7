"""Items: the catalogue of hardware."""

from __future__ import annotations

from typing import Annotated

from fastapi import APIRouter, Query, Request
from fastapi.responses import Response

from inventory.items import Kind
from service.documents.answers.catalogue import ItemPageDocument
from service.documents.items import ItemDocument
from service.http import catalogue
from service.http.dependencies import StoreHere
from service.http.pages import Page
from service.http.parameters import Cursor, Key, Limit, Match, Text
from service.http.reference.routes import accepts, answers
from service.http.replies import Reply, answered
from service.stockroom.catalogue import ITEMS, find_items

router = APIRouter(prefix="/v1/items", tags=["items"])
_ITEM = answers(200, model=ItemDocument, headers=("ETag",))
_ADDED = answers(201, model=ItemDocument, headers=("ETag", "Location"), problems=("exists",))
OfKind = Annotated[Kind | None, Query(description="only this sort of hardware")]


@router.get("", summary="List items", responses=answers(200, model=ItemPageDocument))
async def list_items(
    store: StoreHere, kind: OfKind = None, text: Text = None, cursor: Cursor = None, limit: Limit = 100
) -> Response:
    """Return a page of items by id: `items` with `version` and `document` each, and the cursor `next`."""

    def act() -> Reply:
        page = Page.asked(cursor, limit)
        return catalogue.page_reply("items", find_items(store, kind, text, page.after, page.fetched), page)

    return await answered(act)


@router.post("", summary="Add an item", status_code=201, responses=_ADDED, openapi_extra=accepts("item", id="adj-25-b"))
async def add_item(request: Request, store: StoreHere, key: Key = None) -> Response:
    """Take a new item into the catalogue, with no pieces counted yet."""
    return await catalogue.added(request, store, ITEMS)


@router.get("/{id:path}", summary="An item", responses=_ITEM)
async def read_item(id: str, store: StoreHere) -> Response:
    """Return the item's document; its version is the ETag."""
    return await catalogue.shown(store, ITEMS, id)


@router.put("/{id:path}", summary="Change an item", responses=_ITEM, openapi_extra=accepts("item"))
async def change_item(request: Request, id: str, store: StoreHere, match: Match = None, key: Key = None) -> Response:
    """Replace the item's document; plans made before keep what they were made with."""
    return await catalogue.changed(request, store, ITEMS, id)


@router.delete("/{id:path}", summary="Remove an item", status_code=204, responses=answers(204, problems=("in-use",)))
async def remove_item(request: Request, id: str, store: StoreHere, match: Match = None, key: Key = None) -> Response:
    """Take an item out of the catalogue; refused while pieces are counted or reservations or plans name it."""
    return await catalogue.removed(request, store, ITEMS, id)
