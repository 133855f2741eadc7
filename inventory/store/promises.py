"""What is promised of each item: sums over the same days, kept as reservations change and read when somebody asks."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import date
from functools import cache

import sqlalchemy as sa
from sqlalchemy.dialects import postgresql, sqlite

from inventory.availability import Promise, ShortLine, Span, peak, short_line
from inventory.errors import Fault, refuse
from inventory.limits import escaped
from inventory.reservations import Reservation
from inventory.store.finding import Wanted, find
from inventory.store.schema import items, promised, stock


def promises(
    connection: sa.Connection, wanted: Sequence[str] | None, first: date, today: date | None
) -> dict[str, list[Promise]]:
    """Return the promises in force on or after day `first`, per item (None: of every item).

    A kit that should be back but is not is held at least through `today`.
    """
    asked = {"first": first} if wanted is None else {"first": first, "wanted": wanted}
    found: dict[str, list[Promise]] = {}
    for item, begin, end, out, pieces in connection.execute(_IN_FORCE if wanted is None else _IN_FORCE_OF, asked):
        held = _held_over(Span(begin, end), out, today)
        if held.last >= first:
            found.setdefault(item, []).append(Promise(held, pieces))
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
    counted: dict[str, tuple[str, int]] = {}
    found: dict[str, list[Promise]] = {}
    for item, name, count, broken, begin, end, out, pieces in connection.execute(
        _ASKED_FOR, {"wanted": list(needed), "first": span.first}
    ):
        counted[item] = (name, count - broken)
        if pieces is not None:
            found.setdefault(item, []).append(Promise(_held_over(Span(begin, end), out, today), pieces))
    refuse(
        Fault(f"/lines/{escaped(item)}", f"there is no item {item}", "an item of the catalogue")
        for item in needed
        if item not in counted
    )
    if instead_of is not None:
        own = _held_over(instead_of.span, instead_of.state == "on_the_table", today)
        for item in needed:
            found.setdefault(item, []).append(Promise(own, -instead_of.held(item)))
    checked = (short_line(item, *counted[item], found.get(item, ()), span, pieces) for item, pieces in needed.items())
    return [short for short in checked if short is not None]


def promised_to(connection: sa.Connection, plan: str, span: Span, today: date | None) -> dict[str, int] | None:
    """Return how many fewer pieces would be promised over the span without the reservations of a plan's kits, per item.

    Where they hold pieces on some of the days alone, that is fewer than they hold if others hold more on the rest of the days.
    None if nothing was ever promised for the plan.
    """
    made = [there for there in find(connection, Wanted(plan=plan), limit=_ALL) if there.state != "proposed"]
    if not made:
        return None
    given_up: dict[str, list[Promise]] = {}
    for there in made:
        days = _held_over(there.span, there.state == "on_the_table", today)
        for line in there.lines:
            if held := there.held(line.item):
                given_up.setdefault(line.item, []).append(Promise(days, -held))
    in_force = promises(connection, sorted(given_up), span.first, today)
    found: dict[str, int] = {}
    for item, without in given_up.items():
        there_is = in_force.get(item, [])
        found[item] = peak(there_is, span) - peak([*there_is, *without], span)
    return {item: pieces for item, pieces in found.items() if pieces > 0}


def keep_sums(connection: sa.Connection, before: Reservation | None, after: Reservation) -> None:
    """Add to the sums what a reservation holds now, and take off what it held before."""
    changes: dict[tuple[str, date, date, bool], int] = {}
    for there, sign in ((before, -1), (after, 1)):
        if there is not None:
            for line in there.lines:
                key = (line.item, there.span.first, there.span.last, there.state == "on_the_table")
                changes[key] = changes.get(key, 0) + sign * there.held(line.item)
    more = [dict(zip(_KEY, key, strict=True), pieces=change) for key, change in changes.items() if change > 0]
    less = [dict(zip(_ASKED_KEY, key, strict=True), fewer=-change) for key, change in changes.items() if change < 0]
    if more:
        connection.execute(_adding(connection.dialect.name), more)
    if less:
        connection.execute(_TAKE_OFF, less)
        connection.execute(sa.delete(promised).where(promised.c.pieces == 0))


def _held_over(span: Span, on_the_table: bool, today: date | None) -> Span:
    return Span(span.first, max(span.last, today)) if on_the_table and today is not None else span


@cache
def _adding(dialect: str) -> postgresql.Insert | sqlite.Insert:
    row = postgresql.insert(promised) if dialect == "postgresql" else sqlite.insert(promised)
    return row.on_conflict_do_update(index_elements=_KEY, set_={"pieces": promised.c.pieces + row.excluded.pieces})


_ALL = 1_000_000
_KEY = ("item", "first_day", "last_day", "on_the_table")
_ASKED_KEY = tuple(f"of_{name}" for name in _KEY)
_LATE = sa.or_(promised.c.last_day >= sa.bindparam("first"), promised.c.on_the_table)
_WANTED: sa.BindParameter[Sequence[str]] = sa.bindparam("wanted", expanding=True)
_IN_FORCE = sa.select(promised).where(_LATE)
_IN_FORCE_OF = _IN_FORCE.where(promised.c.item.in_(_WANTED))
_ASKED_FOR = (
    sa.select(stock.c.item, items.c.name, stock.c.count, stock.c.out_of_service, *list(promised.c)[1:])
    .join(items, items.c.id == stock.c.item)
    .join(promised, sa.and_(promised.c.item == stock.c.item, _LATE), isouter=True)
    .where(stock.c.item.in_(_WANTED))
)
_TAKE_OFF = (
    sa.update(promised)
    .where(*(promised.c[name] == sa.bindparam(asked) for name, asked in zip(_KEY, _ASKED_KEY, strict=True)))
    .values(pieces=promised.c.pieces - sa.bindparam("fewer"))
)
