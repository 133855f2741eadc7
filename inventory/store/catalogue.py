"""Items and tables in the store: contract documents with a version each."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

import sqlalchemy as sa

from inventory import limits
from inventory.errors import Fault, refuse
from inventory.store.errors import AlreadyThere, InUse, NotFound, Stale, known_as
from inventory.store.schema import items, lattice_tables, plan_kits, reservation_lines, stock
from inventory.store.transactions import bump

Document = Mapping[str, Any]
ANY_VERSION = 0


@dataclass(frozen=True, slots=True)
class Stored:
    """A document as the store keeps it, and its version."""

    id: str
    document: dict[str, Any]
    version: int


def put_item(connection: sa.Connection, document: Document, expected: int | None) -> Stored:
    """Write an item document; a new item gets an empty stock line.

    Parameters
    ----------
    document : mapping
        A valid ``holdwright.item/1`` document.
    expected : int or None
        The version it replaces; None: it must be new; `ANY_VERSION`: whatever there is.

    Raises
    ------
    AlreadyThere, NotFound, Stale
        `expected` does not fit what is there.
    """
    row = {"kind": document["kind"], "name": document.get("name") or document["id"], "document": dict(document)}
    stored = _put(connection, items, "item", document, row, expected)
    if stored.version == 1:
        connection.execute(sa.insert(stock).values(item=stored.id, count=0, out_of_service=0, bin="", version=1))
    return stored


def put_table(connection: sa.Connection, document: Document, expected: int | None) -> Stored:
    """Write a table document; parameters and errors as `put_item`."""
    return _put(connection, lattice_tables, "table", document, {"document": dict(document)}, expected)


def remove_item(connection: sa.Connection, item: str, expected: int) -> None:
    """Take an item out of the catalogue; refused while pieces of it are counted or any reservation or plan names it."""
    _check_version(connection, items, "item", item, expected)
    count = connection.execute(sa.select(stock.c.count).where(stock.c.item == item)).scalar_one()
    named = connection.execute(sa.select(sa.func.count()).where(reservation_lines.c.item == item)).scalar_one()
    planned = connection.execute(
        sa.select(sa.func.count(sa.distinct(plan_kits.c.plan))).where(plan_kits.c.item == item)
    ).scalar_one()
    if count or named or planned:
        raise InUse(f"item {item} stays: {count} pieces counted, {named} reservations and {planned} plans name it")
    connection.execute(sa.delete(stock).where(stock.c.item == item))
    connection.execute(sa.delete(items).where(items.c.id == item))
    bump(connection)


def remove_table(connection: sa.Connection, table: str, expected: int) -> None:
    """Take a table away."""
    _check_version(connection, lattice_tables, "table", table, expected)
    connection.execute(sa.delete(lattice_tables).where(lattice_tables.c.id == table))
    bump(connection)


def item(connection: sa.Connection, name: str) -> Stored:
    """Return one item; raises NotFound."""
    return _one(connection, items, "item", name)


def table(connection: sa.Connection, name: str) -> Stored:
    """Return one table; raises NotFound."""
    return _one(connection, lattice_tables, "table", name)


def find_items(
    connection: sa.Connection, kind: str | None = None, text: str | None = None, after: str = "", limit: int = 100
) -> Sequence[Stored]:
    """Return items by id, behind `after`, of one kind, whose id or name holds `text` whatever its case."""
    query = sa.select(items.c.id, items.c.document, items.c.version).where(items.c.id > after)
    if kind is not None:
        query = query.where(items.c.kind == kind)
    if text:
        query = query.where(sa.or_(items.c.id.icontains(text, autoescape=True), items.c.name.icontains(text, autoescape=True)))
    return [Stored(*row) for row in connection.execute(query.order_by(items.c.id).limit(limit))]


def find_tables(connection: sa.Connection, after: str = "", limit: int = 100) -> Sequence[Stored]:
    """Return tables by id, behind `after`."""
    columns = (lattice_tables.c.id, lattice_tables.c.document, lattice_tables.c.version)
    query = sa.select(*columns).where(lattice_tables.c.id > after).order_by(lattice_tables.c.id).limit(limit)
    return [Stored(*row) for row in connection.execute(query)]


def names(connection: sa.Connection, wanted: Sequence[str]) -> dict[str, str]:
    """Return the names of the items that exist among those wanted."""
    rows = connection.execute(sa.select(items.c.id, items.c.name).where(items.c.id.in_(wanted)))
    return {row.id: row.name for row in rows}


def _one(connection: sa.Connection, where: sa.Table, kind: str, name: str) -> Stored:
    known_as(kind, name)
    row = connection.execute(sa.select(where.c.id, where.c.document, where.c.version).where(where.c.id == name)).one_or_none()
    if row is None:
        raise NotFound(kind, name)
    return Stored(*row)


def _check_version(connection: sa.Connection, where: sa.Table, kind: str, name: str, expected: int) -> int:
    there = _one(connection, where, kind, name).version
    if expected not in (ANY_VERSION, there):
        raise Stale(kind, name, expected, there)
    return there


def _put(
    connection: sa.Connection, where: sa.Table, kind: str, document: Document, row: dict[str, Any], expected: int | None
) -> Stored:
    name = str(document["id"])
    exists = connection.execute(sa.select(sa.func.count()).where(where.c.id == name)).scalar_one() > 0
    if exists and expected is None:
        raise AlreadyThere(kind, name)
    if exists or expected not in (None, ANY_VERSION):
        version = _check_version(connection, where, kind, name, expected or ANY_VERSION) + 1
        connection.execute(sa.update(where).where(where.c.id == name).values(version=version, **row))
    else:
        _refuse_too_many(connection, where, kind)
        version = 1
        connection.execute(sa.insert(where).values(id=name, version=version, **row))
    bump(connection)
    return Stored(name, dict(document), version)


def _refuse_too_many(connection: sa.Connection, where: sa.Table, kind: str) -> None:
    most = limits.ITEMS if where is items else limits.TABLES
    if connection.execute(sa.select(sa.func.count()).select_from(where)).scalar_one() >= most:
        refuse([Fault("", f"there are {most:,} {kind}s already", f"at most {most:,} {kind}s")])
