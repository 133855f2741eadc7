"""Items and tables are asked for and changed alike: what their routes answer."""

from __future__ import annotations

from collections.abc import Sequence
from urllib.parse import quote

from starlette.requests import Request
from starlette.responses import Response

from inventory.store import Connection, Store
from inventory.store.catalogue import Stored
from service.http.pages import Page
from service.http.replies import Reply, answered
from service.http.writes import write_of, write_once
from service.stockroom import catalogue
from service.stockroom.catalogue import Collection


def page_reply(name: str, found: Sequence[Stored], page: Page) -> Reply:
    """Return a page of documents, each with its version."""
    return Reply(
        page.document(name, found, lambda each: each.id, lambda each: {"version": each.version, "document": each.document})
    )


async def shown(store: Store, collection: Collection, id: str) -> Response:
    """Answer with one document; its version is the ETag."""
    return await answered(lambda: _stored(catalogue.one(store, collection, id)))


async def added(request: Request, store: Store, collection: Collection) -> Response:
    """Take a document in; its address is the answer's Location."""
    write = await write_of(request)

    def act() -> Reply:
        value = collection.read(write.body)
        where = f"/v1/{collection.name}/{quote(value.id, safe='')}"

        def action(connection: Connection) -> Reply:
            stored = catalogue.add(connection, collection, value)
            return Reply.of_version(stored.document, stored.version, 201, where)

        return write_once(store, write, action)

    return await answered(act)


async def changed(request: Request, store: Store, collection: Collection, id: str) -> Response:
    """Replace the document of that id."""
    write = await write_of(request)

    def act() -> Reply:
        write.versions()  # a change that is based on nothing is refused before it is read
        value = collection.read(write.body)

        def upon(expected: int) -> Reply:
            return write_once(store, write, lambda c: _stored(catalogue.change(c, collection, id, value, expected)))

        return write.based_on(upon)

    return await answered(act)


async def removed(request: Request, store: Store, collection: Collection, id: str) -> Response:
    """Remove the document of that id."""
    write = await write_of(request)

    def act() -> Reply:
        def upon(expected: int) -> Reply:
            def action(connection: Connection) -> Reply:
                catalogue.remove(connection, collection, id, expected)
                return Reply(None, 204)

            return write_once(store, write, action)

        return write.based_on(upon)

    return await answered(act)


def _stored(stored: Stored) -> Reply:
    return Reply.of_version(stored.document, stored.version)
