"""Reading reservations back: one by number, many by filter, and the steps each went through."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime

import sqlalchemy as sa

from inventory.availability import Span
from inventory.reservations import Reservation, ReservedLine, State
from inventory.store.schema import reservation_lines, reservation_steps, reservations


@dataclass(frozen=True, slots=True)
class StepTaken:
    """One step in a reservation's life, who took it, and by which API key."""

    step: str
    state: State
    who: str
    at: datetime
    why: str
    key: str | None


@dataclass(frozen=True, slots=True)
class Wanted:
    """Which reservations to look for; everything not named is left open."""

    states: Sequence[State] = ()
    item: str | None = None
    job: str | None = None
    plan: str | None = None
    days: Span | None = None


def read_reservations(
    connection: sa.Connection, *where: sa.ColumnElement[bool], after: int = 0, limit: int | None = None
) -> list[Reservation]:
    """Return the reservations that meet every condition, by number, behind number `after`."""
    query = sa.select(reservations).where(reservations.c.id > after, *where).order_by(reservations.c.id).limit(limit)
    rows = connection.execute(query).all()
    lines: dict[int, list[ReservedLine]] = {row.id: [] for row in rows}
    for few in _slices(list(lines)):
        by_item = sa.select(reservation_lines).where(reservation_lines.c.reservation.in_(few)).order_by(reservation_lines.c.item)
        for line in connection.execute(by_item):
            lines[line.reservation].append(ReservedLine(line.item, line.pieces, line.whole, line.broken, line.missing))
    return [
        Reservation(
            id=row.id,
            job=row.job,
            state=row.state,
            span=Span(row.first_day, row.last_day),
            lines=tuple(lines[row.id]),
            made_by=row.made_by,
            made_at=row.made_at,
            expires_at=row.expires_at,
            plan=row.plan,
            plan_rank=row.plan_rank,
            version=row.version,
        )
        for row in rows
    ]


def find(connection: sa.Connection, wanted: Wanted, after: int = 0, limit: int = 100) -> list[Reservation]:
    """Return reservations by number that fit the filter, behind number `after`."""
    where: list[sa.ColumnElement[bool]] = []
    if wanted.states:
        where.append(reservations.c.state.in_(wanted.states))
    if wanted.item is not None:
        named = sa.select(reservation_lines.c.reservation).where(reservation_lines.c.item == wanted.item)
        where.append(reservations.c.id.in_(named))
    if wanted.job is not None:
        where.append(reservations.c.job == wanted.job)
    if wanted.plan is not None:
        where.append(reservations.c.plan == wanted.plan)
    if wanted.days is not None:
        where.append(sa.and_(reservations.c.first_day <= wanted.days.last, reservations.c.last_day >= wanted.days.first))
    return read_reservations(connection, *where, after=after, limit=limit)


def steps(connection: sa.Connection, number: int) -> list[StepTaken]:
    """Return the steps a reservation went through, oldest first."""
    columns = (reservation_steps.c[name] for name in StepTaken.__dataclass_fields__)
    query = sa.select(*columns).where(reservation_steps.c.reservation == number).order_by(reservation_steps.c.id)
    return [StepTaken(*row) for row in connection.execute(query)]


def _slices(numbers: list[int], size: int = 500) -> list[list[int]]:
    """Cut a list of numbers: SQLite takes only so many parameters in one statement."""
    return [numbers[begin : begin + size] for begin in range(0, len(numbers), size)]
