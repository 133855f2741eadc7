"""What is promised of each item: sums over the same days, kept as reservations change and read when somebody asks."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from datetime import date
from functools import cache
from typing import Any

import sqlalchemy as sa

from inventory.availability import Promise, ShortLine, Span, short_line
from inventory.errors import Fault, refuse
from inventory.limits import escaped
from inventory.reservations import Reservation
from inventory.store.counts import those
from inventory.store.schema import promised


def promises(
    connection: sa.Connection, wanted: Sequence[str] | None, first: date, today: date | None
) -> dict[str, list[Promise]]:
    """Return the promises in force on or after day `first`, per item (None: of every item).

    A kit that should be back but is not is held at least through `today`.
    """
    asked = {"first": first} if wanted is None else {"first": first, "wanted": wanted}
    found: dict[str, list[Promise]] = {}
    for item, begin, end, out, pieces in connection.execute(_in_force(wanted is not None), asked):
        span = _held_over(Span(begin, end), out, today)
        if span.last >= first:
            found.setdefault(item, []).append(Promise(span, pieces))
    return found


def short_lines(
    connection: sa.Connection,
    needed: Mapping[str, int],
    span: Span,
    today: date | None,
    instead_of: Reservation | None = None,
) -> list[ShortLine]:
    """Return every line that cannot be promised over the span; raises InvalidDocument for items that do not exist.

    `instead_of`: a reservation that gives its own pieces up for these.
    """
    wanted = list(needed)
    counted = {line.item: line for line in those(connection, wanted)}
    refuse(
        Fault(f"/lines/{escaped(item)}", f"there is no item {item}", "an item of the catalogue")
        for item in wanted
        if item not in counted
    )
    found = promises(connection, wanted, span.first, today)
    if instead_of is not None:
        own = _held_over(instead_of.span, instead_of.state == "on_the_table", today)
        for item in wanted:
            found.setdefault(item, []).append(Promise(own, -instead_of.held(item)))
    checked = (
        short_line(item, counted[item].name, counted[item].usable, found.get(item, ()), span, pieces)
        for item, pieces in needed.items()
    )
    return [short for short in checked if short is not None]


def keep_sums(connection: sa.Connection, before: Reservation | None, after: Reservation) -> None:
    """Add to the sums what a reservation holds now, and take off what it held before."""
    changes: dict[tuple[str, date, date, bool], int] = {}
    for there, sign in ((before, -1), (after, 1)):
        if there is not None:
            for line in there.lines:
                key = (line.item, there.span.first, there.span.last, there.state == "on_the_table")
                changes[key] = changes.get(key, 0) + sign * there.held(line.item)
    for key, change in changes.items():
        if change:
            _add(connection, key, change)


def _add(connection: sa.Connection, key: Iterable[Any], change: int) -> None:
    """Change one sum; nobody else writes meanwhile, so looking first is safe."""
    columns = dict(zip(("item", "first_day", "last_day", "on_the_table"), key, strict=True))
    here = sa.and_(*(promised.c[name] == value for name, value in columns.items()))
    there = connection.execute(sa.select(promised.c.pieces).where(here)).scalar_one_or_none()
    if there is None:
        connection.execute(sa.insert(promised).values(**columns, pieces=change))
    elif there + change:
        connection.execute(sa.update(promised).where(here).values(pieces=there + change))
    else:
        connection.execute(sa.delete(promised).where(here))


def _held_over(span: Span, on_the_table: bool, today: date | None) -> Span:
    return Span(span.first, max(span.last, today)) if on_the_table and today is not None else span


@cache
def _in_force(of_some: bool) -> sa.Select[Any]:
    """Return the query for promises in force; every reservation asks it, so it is put together once."""
    late = sa.or_(promised.c.last_day >= sa.bindparam("first"), promised.c.on_the_table)
    query = sa.select(promised).where(late)
    return query.where(promised.c.item.in_(sa.bindparam("wanted", expanding=True))) if of_some else query
