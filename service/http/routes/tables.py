"""Tables: the plates with their lattices of holes."""

from __future__ import annotations

from fastapi import APIRouter, Request
from fastapi.responses import Response

from service.http.parameters import WRITES, Cursor, Key, Limit, Match, StoreHere, page
from service.http.reference import accepts, answers
from service.http.stockroom_dependencies import answered, asked
from service.stockroom import catalogue

router = APIRouter(prefix="/v1/tables", tags=["tables"])


@router.get("", summary="List tables", responses=answers(200))
async def listed(store: StoreHere, cursor: Cursor = None, limit: Limit = 100) -> Response:
    """Return a page of tables by id: `tables` with `version` and `document` each, and the cursor `next`."""
    return await answered(lambda: catalogue.found_tables(store, page(cursor, limit)))


@router.post("", summary="Add a table", status_code=201, responses=WRITES, openapi_extra=accepts("table"))
async def add(request: Request, store: StoreHere, key: Key = None) -> Response:
    """Take a new table in."""
    write = await asked(request)
    return await answered(lambda: catalogue.added(store, "tables", write))


@router.get("/{id:path}", summary="A table", responses=answers(200, 404))
async def read(id: str, store: StoreHere) -> Response:
    """Return the table's document; its version is the ETag."""
    return await answered(lambda: catalogue.one(store, "tables", id))


@router.put("/{id:path}", summary="Change a table", responses=WRITES, openapi_extra=accepts("table"))
async def change(request: Request, id: str, store: StoreHere, match: Match = None, key: Key = None) -> Response:
    """Replace the table's document, for instance to block a damaged hole."""
    write = await asked(request)
    return await answered(lambda: catalogue.changed(store, "tables", id, write))


@router.delete("/{id:path}", summary="Remove a table", status_code=204, responses=WRITES)
async def remove(request: Request, id: str, store: StoreHere, match: Match = None, key: Key = None) -> Response:
    """Take a table away."""
    write = await asked(request)
    return await answered(lambda: catalogue.removed(store, "tables", id, write))
