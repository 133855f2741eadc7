"""Items and tables: found, looked up, added, changed, removed; both are kept as documents with a version."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from functools import partial
from typing import Any

from inventory.errors import Fault, InvalidDocument, refuse
from inventory.limits import shown, sought_faults
from inventory.store import Connection, Store, catalogue
from inventory.store.catalogue import Stored
from service.documents import item_document, read_item, read_table, table_document


@dataclass(frozen=True, slots=True)
class Collection:
    """What differs between items and tables: how they are read, written, found and removed."""

    name: str
    read: Callable[[bytes], Any]
    document: Callable[[Any], dict[str, Any]]
    put: Callable[[Connection, dict[str, Any], int | None], Stored]
    one: Callable[[Connection, str], Stored]
    remove: Callable[[Connection, str, int], None]


TAKEN = ("advice", "export", "hits", "import", "journal")
"""Words that stand where an item's id would, at the addresses of the stock."""

ITEMS = Collection("items", read_item, item_document, catalogue.put_item, catalogue.item, catalogue.remove_item)
TABLES = Collection("tables", read_table, table_document, catalogue.put_table, catalogue.table, catalogue.remove_table)


def find_items(store: Store, kind: str | None, text: str | None, after: str, limit: int) -> Sequence[Stored]:
    """Return items by id behind `after`: of one kind, with `text` in id or name; raises InvalidDocument."""
    refuse(sought_faults("/text", text))
    return store.read(partial(catalogue.find_items, kind=kind, text=text, after=after, limit=limit))


def find_tables(store: Store, after: str, limit: int) -> Sequence[Stored]:
    """Return tables by id behind `after`."""
    return store.read(partial(catalogue.find_tables, after=after, limit=limit))


def one(store: Store, kept: Collection, id: str) -> Stored:
    """Return one item or table; raises NotFound."""
    return store.read(lambda connection: kept.one(connection, id))


def add(connection: Connection, kept: Collection, value: Any) -> Stored:
    """Take a new item or table in; raises AlreadyThere, and InvalidDocument for an id that no address could lead to."""
    refuse(_unreachable(value.id))
    return kept.put(connection, kept.document(value), None)


def _unreachable(id: str) -> Iterator[Fault]:
    """Yield a fault if an id could not be read back at its address: it is taken, or stands for another one (RFC 3986, 5.2.4)."""
    steps = id.split("/")
    if steps[0] in TAKEN or steps[1:][-1:] == ["entries"]:
        accepted = f"an id that is none of {', '.join(TAKEN)}, begins with none of them and a slash, and does not end in /entries"
        yield Fault("/id", f"{shown(id)} is an address of its own", accepted)
    if {".", ".."} & set(steps):
        yield Fault("/id", f"{shown(id)} names another address", "an id without . and .. between its slashes")


def change(connection: Connection, kept: Collection, id: str, value: Any, expected: int) -> Stored:
    """Replace an item or table by another one of the same id; raises InvalidDocument, NotFound, Stale."""
    if value.id != id:
        raise InvalidDocument(
            [Fault("/id", f"{shown(value.id)} at the address of {shown(id)}", f"{shown(id)}; ids do not change")]
        )
    kept.one(connection, id)
    return kept.put(connection, kept.document(value), expected)


def remove(connection: Connection, kept: Collection, id: str, expected: int) -> None:
    """Take an item or table out of the catalogue; raises NotFound, Stale, InUse."""
    kept.remove(connection, id, expected)
