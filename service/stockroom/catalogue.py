"""Items and tables at the storekeeper's desk."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from functools import partial
from typing import Any, Literal
from urllib.parse import quote

from inventory.errors import Fault, InvalidDocument
from inventory.limits import shown
from inventory.store import Connection, Store, catalogue
from inventory.store.catalogue import Stored
from service.documents import item_document, read_item, read_table, table_document
from service.stockroom.replies import Asked, Page, Reply, written_once

Kind = Literal["items", "tables"]


@dataclass(frozen=True, slots=True)
class Shelf:
    """What differs between items and tables: how they are read, written, found and removed."""

    read: Callable[[bytes], Any]
    document: Callable[[Any], dict[str, Any]]
    put: Callable[[Connection, dict[str, Any], int | None], Stored]
    one: Callable[[Connection, str], Stored]
    remove: Callable[[Connection, str, int], None]


SHELVES: dict[Kind, Shelf] = {
    "items": Shelf(read_item, item_document, catalogue.put_item, catalogue.item, catalogue.remove_item),
    "tables": Shelf(read_table, table_document, catalogue.put_table, catalogue.table, catalogue.remove_table),
}


def found_items(store: Store, kind: str | None, text: str | None, page: Page) -> Reply:
    """Return a page of items, each with its version."""
    wanted = partial(catalogue.find_items, kind=kind, text=text, after=page.after or "", limit=page.limit + 1)
    return _page("items", store.read(wanted), page)


def found_tables(store: Store, page: Page) -> Reply:
    """Return a page of tables, each with its version."""
    return _page("tables", store.read(partial(catalogue.find_tables, after=page.after or "", limit=page.limit + 1)), page)


def one(store: Store, kind: Kind, name: str) -> Reply:
    """Return one item's or table's document; its version is the ETag."""
    return _stored(store.read(lambda connection: SHELVES[kind].one(connection, name)))


def added(store: Store, kind: Kind, asked: Asked) -> Reply:
    """Take a new item or table in."""
    shelf = SHELVES[kind]
    document = shelf.document(shelf.read(asked.body))
    where = f"/v1/{kind}/{quote(document['id'], safe='')}"

    def write(connection: Connection) -> Reply:
        stored = shelf.put(connection, document, None)
        return Reply(stored.document, 201, {"ETag": f'"{stored.version}"', "Location": where})

    return written_once(store, asked, write)


def changed(store: Store, kind: Kind, name: str, asked: Asked) -> Reply:
    """Replace an item or table by another document of the same id."""
    shelf, expected = SHELVES[kind], asked.expected()
    document = shelf.document(shelf.read(asked.body))
    if document["id"] != name:
        raise InvalidDocument(
            [Fault("/id", f"{shown(document['id'])} at the address of {shown(name)}", f"{shown(name)}; ids do not change")]
        )

    def write(connection: Connection) -> Reply:
        shelf.one(connection, name)
        return _stored(shelf.put(connection, document, expected))

    return written_once(store, asked, write)


def removed(store: Store, kind: Kind, name: str, asked: Asked) -> Reply:
    """Take an item or table out of the catalogue."""
    expected = asked.expected()

    def write(connection: Connection) -> Reply:
        SHELVES[kind].remove(connection, name, expected)
        return Reply(None, 204)

    return written_once(store, asked, write)


def _stored(stored: Stored) -> Reply:
    return Reply(stored.document, 200, {"ETag": f'"{stored.version}"'})


def _page(name: str, found: Any, page: Page) -> Reply:
    return Reply(
        page.document(name, found, lambda each: each.id, lambda each: {"version": each.version, "document": each.document})
    )
