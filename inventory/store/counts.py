"""Counts and their journal: every change of a count has who, when and why."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Any, Literal

import sqlalchemy as sa

from inventory import limits
from inventory.errors import Fault, refuse
from inventory.store.catalogue import ANY_VERSION
from inventory.store.errors import CountRefused, NotFound, Stale, known_as
from inventory.store.notes import Note
from inventory.store.schema import items, journal, stock
from inventory.store.transactions import bump

EntryKind = Literal["receive", "count", "break", "repair", "scrap", "missing", "hand_out", "take_back", "import"]
LARGEST_COUNT = 1_000_000


@dataclass(frozen=True, slots=True)
class Counted:
    """One item's stock line as counted, whatever is promised of it."""

    item: str
    name: str
    count: int
    out_of_service: int
    bin: str
    version: int

    @property
    def usable(self) -> int:
        """Pieces in service, promised or not."""
        return self.count - self.out_of_service


@dataclass(frozen=True, slots=True)
class Entry:
    """One line of the journal; `count` and `out_of_service` are those after the change, `key` the API key it came by."""

    id: int
    at: datetime
    who: str
    why: str
    kind: EntryKind
    item: str
    pieces: int
    count_change: int
    out_of_service_change: int
    count: int
    out_of_service: int
    reservation: int | None
    key: str | None


def line(connection: sa.Connection, item: str) -> Counted:
    """Return one stock line; raises NotFound."""
    known_as("item", item)
    found = those(connection, [item])
    if not found:
        raise NotFound("item", item)
    return found[0]


def those(connection: sa.Connection, wanted: Sequence[str]) -> list[Counted]:
    """Return the stock lines of these items, by item id; items there are none of are left out."""
    return [Counted(*row) for row in connection.execute(_THOSE, {"wanted": wanted})]


def lines(
    connection: sa.Connection,
    bin: str | None = None,
    text: str | None = None,
    after: str = "",
    limit: int | None = None,
) -> list[Counted]:
    """Return stock lines by item id: all, or those in one bin, whose id or name holds `text`, behind `after`."""
    query = _lines().where(stock.c.item > after)
    if bin is not None:
        query = query.where(stock.c.bin == bin)
    if text:
        query = query.where(sa.or_(items.c.id.icontains(text, autoescape=True), items.c.name.icontains(text, autoescape=True)))
    return [Counted(*row) for row in connection.execute(query.order_by(stock.c.item).limit(limit))]


def receive(connection: sa.Connection, item: str, pieces: int, note: Note) -> Counted:
    """Add pieces that arrived."""
    _some("/pieces", pieces)
    return change(connection, item, "receive", note, pieces, count_change=pieces)


def take_out(connection: sa.Connection, item: str, pieces: int, note: Note) -> Counted:
    """Take broken pieces out of service; they still count until they are scrapped or repaired."""
    _some("/pieces", pieces)
    return change(connection, item, "break", note, pieces, out_of_service_change=pieces)


def repair(connection: sa.Connection, item: str, pieces: int, note: Note) -> Counted:
    """Put repaired pieces back into service."""
    _some("/pieces", pieces)
    return change(connection, item, "repair", note, pieces, out_of_service_change=-pieces)


def scrap(connection: sa.Connection, item: str, pieces: int, note: Note) -> Counted:
    """Throw pieces away that are out of service."""
    _some("/pieces", pieces)
    return change(connection, item, "scrap", note, pieces, count_change=-pieces, out_of_service_change=-pieces)


def recount(
    connection: sa.Connection, item: str, count: int, note: Note, out_of_service: int | None = None, expected: int = ANY_VERSION
) -> Counted:
    """Write down what was counted on the shelf, the tables and the repair bench together.

    `out_of_service` None keeps what it was, as far as the new count allows.
    """
    before = line(connection, item)
    out = min(before.out_of_service, count) if out_of_service is None else out_of_service
    changes = {"count_change": count - before.count, "out_of_service_change": out - before.out_of_service}
    return change(connection, item, "count", note, count, expected=expected, **changes)


def put_in_bin(connection: sa.Connection, item: str, bin: str, expected: int = ANY_VERSION) -> Counted:
    """Say where the pieces of an item lie."""
    refuse(limits.name_faults("/bin", bin))
    before = _expect(line(connection, item), expected)
    connection.execute(sa.update(stock).where(stock.c.item == item).values(bin=bin, version=before.version + 1))
    bump(connection)
    return line(connection, item)


def change(
    connection: sa.Connection,
    item: str,
    kind: EntryKind,
    note: Note,
    pieces: int,
    *,
    count_change: int = 0,
    out_of_service_change: int = 0,
    expected: int = ANY_VERSION,
    reservation: int | None = None,
) -> Counted:
    """Change a count and write the journal entry; raises NotFound, Stale, and CountRefused for a count that cannot be."""
    before = _expect(line(connection, item), expected)
    count, out = before.count + count_change, before.out_of_service + out_of_service_change
    if not 0 <= count <= LARGEST_COUNT:
        raise CountRefused(f"{before.name}: {before.count} counted, {count} afterwards; a count is 0..{LARGEST_COUNT:,}")
    if not 0 <= out <= count:
        raise CountRefused(
            f"{before.name}: {before.count} counted, {before.out_of_service} out of service; afterwards {out} of {count} would be"
        )
    written = {"count": count, "out_of_service": out}
    connection.execute(sa.update(stock).where(stock.c.item == item).values(version=before.version + 1, **written))
    _write(connection, kind, item, note, pieces, count_change, out_of_service_change, written, reservation)
    bump(connection)
    return Counted(item, before.name, count, out, before.bin, before.version + 1)


def moved_kit(connection: sa.Connection, kind: EntryKind, item: str, pieces: int, note: Note, reservation: int) -> None:
    """Write down that pieces went to a table or came back whole; no count changes."""
    there = line(connection, item)
    _write(
        connection, kind, item, note, pieces, 0, 0, {"count": there.count, "out_of_service": there.out_of_service}, reservation
    )


def entries(
    connection: sa.Connection,
    item: str | None = None,
    kind: EntryKind | None = None,
    since: datetime | None = None,
    before: int | None = None,
    limit: int = 100,
) -> list[Entry]:
    """Return journal entries, newest first, before entry number `before`."""
    query = sa.select(*(journal.c[name] for name in Entry.__dataclass_fields__))
    if item is not None:
        query = query.where(journal.c.item == item)
    if kind is not None:
        query = query.where(journal.c.kind == kind)
    if since is not None:
        query = query.where(journal.c.at >= since)
    if before is not None:
        query = query.where(journal.c.id < before)
    return [Entry(*row) for row in connection.execute(query.order_by(journal.c.id.desc()).limit(limit))]


def _write(
    connection: sa.Connection,
    kind: EntryKind,
    item: str,
    note: Note,
    pieces: int,
    count_change: int,
    out_of_service_change: int,
    afterwards: dict[str, int],
    reservation: int | None,
) -> None:
    signed = {"at": note.at, "who": note.who, "why": note.why, "key": note.key, "kind": kind, "item": item, "pieces": pieces}
    changes = {"count_change": count_change, "out_of_service_change": out_of_service_change, "reservation": reservation}
    connection.execute(sa.insert(journal).values(**signed, **changes, **afterwards))


def _lines() -> sa.Select[Any]:
    columns = (stock.c.item, items.c.name, stock.c.count, stock.c.out_of_service, stock.c.bin, stock.c.version)
    return sa.select(*columns).join(items, items.c.id == stock.c.item)


_THOSE = _lines().where(stock.c.item.in_(sa.bindparam("wanted", expanding=True))).order_by(stock.c.item)


def _expect(there: Counted, expected: int) -> Counted:
    if expected not in (ANY_VERSION, there.version):
        raise Stale("stock of", there.item, expected, there.version)
    return there


def _some(pointer: str, pieces: int) -> None:
    if not 1 <= pieces <= LARGEST_COUNT:
        refuse([Fault(pointer, f"{pieces} pieces", f"1..{LARGEST_COUNT:,}")])
