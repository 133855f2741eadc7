"""What is promised of each item, read from the lines that hold pieces."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import date

import sqlalchemy as sa

from inventory.availability import Promise, ShortLine, Span, short_line
from inventory.errors import Fault, refuse
from inventory.limits import escaped
from inventory.store.counts import lines
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
    held = sa.func.sum(reservation_lines.c.held)
    spans = (reservations.c.first_day, reservations.c.last_day, reservations.c.state)
    still_out = reservations.c.state == "on_the_table"
    query = (
        sa.select(reservation_lines.c.item, *spans, held)
        .join(reservations, reservations.c.id == reservation_lines.c.reservation)
        .where(reservation_lines.c.held > 0, sa.or_(reservations.c.last_day >= first, still_out))
        .group_by(reservation_lines.c.item, *spans)
    )
    if wanted is not None:
        query = query.where(reservation_lines.c.item.in_(wanted))
    if without is not None:
        query = query.where(reservations.c.id != without)
    found: dict[str, list[Promise]] = {}
    for item, begin, end, state, pieces in connection.execute(query):
        last = max(end, today) if state == "on_the_table" and today is not None else end
        if last >= first:
            found.setdefault(item, []).append(Promise(Span(begin, max(last, begin)), int(pieces)))
    return found


def short_lines(
    connection: sa.Connection, needed: Mapping[str, int], span: Span, today: date | None, without: int | None = None
) -> list[ShortLine]:
    """Return every line that cannot be promised over the span; raises InvalidDocument for items that do not exist."""
    wanted = list(needed)
    counted = {line.item: line for line in lines(connection, wanted)}
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
