"""Tables: the plates with their lattices of holes."""

from __future__ import annotations

from fastapi import APIRouter, Request
from fastapi.responses import Response

from service.documents.answers.catalogue import TablePageDocument
from service.documents.tables import TableDocument
from service.http import catalogue
from service.http.dependencies import StoreHere
from service.http.pages import Page
from service.http.parameters import Cursor, Key, Limit, Match
from service.http.reference.routes import accepts, answers
from service.http.replies import Reply, answered
from service.stockroom.catalogue import TABLES, find_tables

router = APIRouter(prefix="/v1/tables", tags=["tables"])
_TABLE = answers(200, model=TableDocument, headers=("ETag",))
_ADDED = answers(201, model=TableDocument, headers=("ETag", "Location"), problems=("exists",))


@router.get("", summary="List tables", responses=answers(200, model=TablePageDocument))
async def list_tables(store: StoreHere, cursor: Cursor = None, limit: Limit = 100) -> Response:
    """Return a page of tables by id: `tables` with `version` and `document` each, and the cursor `next`."""

    def act() -> Reply:
        page = Page.asked(cursor, limit)
        return catalogue.page_reply("tables", find_tables(store, page.after, page.fetched), page)

    return await answered(act)


@router.post("", summary="Add a table", status_code=201, responses=_ADDED, openapi_extra=accepts("table", id="T9"))
async def add_table(request: Request, store: StoreHere, key: Key = None) -> Response:
    """Take a new table in."""
    return await catalogue.added(request, store, TABLES)


@router.get("/{id:path}", summary="A table", responses=_TABLE)
async def read_table(id: str, store: StoreHere) -> Response:
    """Return the table's document; its version is the ETag."""
    return await catalogue.shown(store, TABLES, id)


@router.put("/{id:path}", summary="Change a table", responses=_TABLE, openapi_extra=accepts("table"))
async def change_table(request: Request, id: str, store: StoreHere, match: Match = None, key: Key = None) -> Response:
    """Replace the table's document, for instance to block a damaged hole."""
    return await catalogue.changed(request, store, TABLES, id)


@router.delete("/{id:path}", summary="Remove a table", status_code=204, responses=answers(204, problems=("in-use",)))
async def remove_table(request: Request, id: str, store: StoreHere, match: Match = None, key: Key = None) -> Response:
    """Take a table away."""
    return await catalogue.removed(request, store, TABLES, id)
