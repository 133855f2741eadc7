"""What is promised of each item, read from the lines that hold pieces."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import date
from functools import cache
from typing import Any

import sqlalchemy as sa

from inventory.availability import Promise, ShortLine, Span, short_line
from inventory.errors import Fault, refuse
from inventory.limits import escaped
from inventory.store.counts import those
from inventory.store.schema import reservation_lines, reservations


def promises(
    connection: sa.Connection,
    wanted: Sequence[str] | None,
    first: date,
    today: date | None,
    without: int | None = None,
) -> dict[str, list[Promise]]:
    """Return the promises in force on or after day `first`, per item (None: of every item).

    A kit that should be back but is not is held at least through `today`; `without` leaves one reservation out.
    """
    query = _in_force(wanted is not None, without is not None)
    asked: dict[str, Any] = {"earliest": first}
    if wanted is not None:
        asked["wanted"] = wanted
    if without is not None:
        asked["without"] = without
    found: dict[str, list[Promise]] = {}
    for item, begin, end, state, pieces in connection.execute(query, asked):
        last = max(end, today) if state == "on_the_table" and today is not None else end
        if last >= first:
            found.setdefault(item, []).append(Promise(Span(begin, max(last, begin)), int(pieces)))
    return found


@cache
def _in_force(of_some: bool, without_one: bool) -> sa.Select[Any]:
    """Return the query for promises in force; every reservation asks it, so it is put together once."""
    spans = (reservations.c.first_day, reservations.c.last_day, reservations.c.state)
    late = sa.or_(reservations.c.last_day >= sa.bindparam("earliest"), reservations.c.state == "on_the_table")
    query = (
        sa.select(reservation_lines.c.item, *spans, sa.func.sum(reservation_lines.c.held))
        .join(reservations, reservations.c.id == reservation_lines.c.reservation)
        .where(reservation_lines.c.held > 0, late)
        .group_by(reservation_lines.c.item, *spans)
    )
    if of_some:
        query = query.where(reservation_lines.c.item.in_(sa.bindparam("wanted", expanding=True)))
    return query.where(reservations.c.id != sa.bindparam("without")) if without_one else query


def short_lines(
    connection: sa.Connection, needed: Mapping[str, int], span: Span, today: date | None, without: int | None = None
) -> list[ShortLine]:
    """Return every line that cannot be promised over the span; raises InvalidDocument for items that do not exist."""
    wanted = list(needed)
    counted = {line.item: line for line in those(connection, wanted)}
    refuse(
        Fault(f"/lines/{escaped(item)}", f"there is no item {item}", "an item of the catalogue")
        for item in wanted
        if item not in counted
    )
    promised = promises(connection, wanted, span.first, today, without)
    checked = (
        short_line(item, counted[item].name, counted[item].usable, promised.get(item, ()), span, pieces)
        for item, pieces in needed.items()
    )
    return [short for short in checked if short is not None]
