"""Who is hit when pieces are missing: reservations and plans that are now short of them."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

import sqlalchemy as sa

from inventory.availability import Promise, Span, peak, stretches
from inventory.reservations import HOLDING, State
from inventory.store.counts import those
from inventory.store.promises import promises
from inventory.store.schema import plan_kits, plans, reservation_lines, reservations


@dataclass(frozen=True, slots=True)
class HitReservation:
    """A reservation that shares a day on which more is promised than there is."""

    reservation: int
    job: str
    state: State
    span: Span
    pieces: int
    plan: str | None
    plan_rank: int | None


@dataclass(frozen=True, slots=True)
class HitPlan:
    """A saved plan, not reserved yet, whose kit is no longer free on its days."""

    plan: str
    rank: int
    span: Span
    pieces: int
    free: int


@dataclass(frozen=True, slots=True)
class Hit:
    """One item promised beyond what is in service: the worst day's shortage, its first day, and whom it concerns.

    Reservations made last come first: theirs is the promise to look at first.
    """

    item: str
    usable: int
    short: int
    from_day: date | None
    reservations: tuple[HitReservation, ...]
    plans: tuple[HitPlan, ...]


def hits(connection: sa.Connection, wanted: Sequence[str], today: date) -> list[Hit]:
    """Return, for each item wanted, whom its present count leaves short from today on; items that hit nobody are left out."""
    promised = promises(connection, wanted, today, today)
    found = []
    for counted in those(connection, wanted):
        over = _over_days(counted.usable, promised.get(counted.item, []), today)
        hit_reservations = _reservations(connection, counted.item, [span for span, _ in over], today)
        hit_plans = _plans(connection, counted.item, counted.usable, promised.get(counted.item, []), today)
        if hit_reservations or hit_plans:
            worst = max((short for _, short in over), default=0)
            first = min((span.first for span, _ in over), default=None)
            found.append(Hit(counted.item, counted.usable, worst, first, hit_reservations, hit_plans))
    return found


def _over_days(usable: int, promised: Sequence[Promise], today: date) -> list[tuple[Span, int]]:
    """Return the stretches of days, from today on, with more promised than usable, and by how much."""
    last = max((promise.span.last for promise in promised), default=today)
    if last < today:
        return []
    return [(span, -free) for span, free in stretches(usable, promised, Span(today, last)) if free < 0]


def _reservations(connection: sa.Connection, item: str, over: Sequence[Span], today: date) -> tuple[HitReservation, ...]:
    if not over:
        return ()
    query = (
        sa.select(reservations, reservation_lines.c.held)
        .join(reservation_lines, reservation_lines.c.reservation == reservations.c.id)
        .where(reservation_lines.c.item == item, reservation_lines.c.held > 0, reservations.c.state.in_(HOLDING))
        .order_by(reservations.c.id.desc())
    )
    hit = []
    for row in connection.execute(query):
        last = max(row.last_day, today) if row.state == "on_the_table" else row.last_day
        span = Span(row.first_day, last)
        if any(span.overlaps(days) for days in over):
            hit.append(HitReservation(row.id, row.job, row.state, span, row.held, row.plan, row.plan_rank))
    return tuple(hit)


def _plans(connection: sa.Connection, item: str, usable: int, promised: Sequence[Promise], today: date) -> tuple[HitPlan, ...]:
    reserved = sa.select(reservations.c.plan).where(reservations.c.plan.is_not(None), reservations.c.state.in_(HOLDING))
    query = (
        sa.select(plans.c.id, plan_kits.c.plan_rank, plans.c.first_day, plans.c.last_day, plan_kits.c.pieces)
        .join(plan_kits, plan_kits.c.plan == plans.c.id)
        .where(plan_kits.c.item == item, plans.c.last_day >= today, plans.c.id.not_in(reserved))
        .order_by(plans.c.id, plan_kits.c.plan_rank)
    )
    hit = []
    for row in connection.execute(query):
        span = Span(row.first_day, row.last_day)
        free = max(0, usable - peak(promised, span))
        if row.pieces > free:
            hit.append(HitPlan(row.id, row.plan_rank, span, row.pieces, free))
    return tuple(hit)
