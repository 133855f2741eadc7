"""Reservations in the store: all lines or none, each step of their life in one transaction."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import UTC, date, datetime
from typing import Any

import sqlalchemy as sa

from inventory.availability import Shortage, Span, distant_faults, span_faults
from inventory.errors import Fault, refuse
from inventory.limits import escaped, id_faults, moment_faults, name_faults
from inventory.reservations import (
    HOLDING,
    Reservation,
    ReservedLine,
    Returned,
    State,
    Step,
    after,
    handed_out,
    is_forgotten,
    moved,
    taken_back,
)
from inventory.store import counts
from inventory.store.catalogue import ANY_VERSION
from inventory.store.errors import NotFound, Stale
from inventory.store.finding import read_reservations
from inventory.store.notes import Note
from inventory.store.promises import keep_sums, short_lines
from inventory.store.schema import reservation_lines, reservation_steps, reservations
from inventory.store.transactions import bump

MOST_LINES, MOST_PIECES = 1000, 100_000


@dataclass(frozen=True, slots=True)
class Order:
    """What somebody asks to have promised: pieces by item, over a span of days, for a job.

    `expires_at`: if nobody handed it out by then, it is forgotten. `plan`, `plan_rank`: where the kit came from.
    """

    job: str
    span: Span
    pieces: Mapping[str, int]
    expires_at: datetime | None = None
    plan: str | None = None
    plan_rank: int | None = None

    def __post_init__(self) -> None:
        """Refuse an order for nothing, or for an absurd number of pieces."""
        faults = [*name_faults("/job", self.job)]
        if not self.job.strip():
            faults.append(Fault("/job", "no job is named", "1 to 200 characters"))
        if self.plan is not None:
            faults.extend(id_faults("/plan", self.plan))
        if not 1 <= len(self.pieces) <= MOST_LINES:
            faults.append(Fault("/lines", f"{len(self.pieces)} lines", f"1..{MOST_LINES:,}"))
        faults.extend(
            Fault(f"/lines/{escaped(item)}/count", f"{pieces} pieces", f"1..{MOST_PIECES:,}")
            for item, pieces in self.pieces.items()
            if not 1 <= pieces <= MOST_PIECES
        )
        if self.expires_at is not None:
            faults.extend(moment_faults("/expires_at", self.expires_at))
        faults.extend(span_faults(self.span, "/needed"))
        refuse(faults)


def propose(connection: sa.Connection, order: Order, note: Note, today: date | None = None) -> Reservation:
    """Write an order down without promising anything yet."""
    refuse_distant(order.span, note, today)
    short_lines(connection, order.pieces, order.span, today)  # refuses items that do not exist
    return _insert(connection, order, note, "proposed")


def reserve(connection: sa.Connection, order: Order, note: Note, today: date | None = None) -> Reservation:
    """Promise every line of an order; raises Shortage with every short line, and then promises none."""
    refuse_distant(order.span, note, today)
    refuse_short(connection, order.pieces, order.span, today)
    return _insert(connection, order, note, "reserved")


def refuse_distant(span: Span, note: Note, today: date | None) -> None:
    """Raise InvalidDocument if days end more than ten years ahead: nobody plans so far, and it is a slip of the pen."""
    refuse(distant_faults(span, note.at.date() if today is None else today, "/needed"))


def refuse_short(
    connection: sa.Connection, pieces: Mapping[str, int], span: Span, today: date | None, instead_of: Reservation | None = None
) -> None:
    """Raise Shortage unless every line is free over the span, one reservation's own pieces given up."""
    short = short_lines(connection, pieces, span, today, instead_of)
    if short:
        raise Shortage(short)


def confirm(
    connection: sa.Connection, number: int, note: Note, today: date | None = None, expected: int = ANY_VERSION
) -> Reservation:
    """Promise what was proposed; raises Shortage."""
    there = _expect(connection, number, expected)
    promised = after(there, "confirm")
    refuse_distant(there.span, note, today)
    refuse_short(connection, _pieces(there), there.span, today)
    return _save(connection, there, promised, "confirm", note)


def hand_out(connection: sa.Connection, number: int, note: Note, today: date, expected: int = ANY_VERSION) -> Reservation:
    """Give the kit out; taken before its first day it must be free from today on, else Shortage."""
    there = _expect(connection, number, expected)
    given = handed_out(there, today)
    if given.span != there.span:
        refuse_short(connection, _pieces(there), given.span, today, instead_of=there)
    for line in given.lines:
        counts.moved_kit(connection, "hand_out", line.item, line.pieces, note, number)
    return _save(connection, there, given, "hand_out", note)


def take_back(
    connection: sa.Connection, number: int, back: Mapping[str, Returned] | None, note: Note, expected: int = ANY_VERSION
) -> Reservation:
    """Take pieces back (None: all outstanding ones, whole); broken ones go out of service, missing ones off the count."""
    there = _expect(connection, number, expected)
    if back is None:
        back = {line.item: Returned(whole=line.outstanding) for line in there.lines if line.outstanding}
    done = taken_back(there, back)
    for item, pieces in back.items():
        _count_returned(connection, item, pieces, note, number)
    return _save(connection, there, done, "take_back", note)


def release(connection: sa.Connection, number: int, note: Note, expected: int = ANY_VERSION) -> Reservation:
    """Give the promise up before the kit was handed out."""
    there = _expect(connection, number, expected)
    return _save(connection, there, after(there, "release"), "release", note)


def move(
    connection: sa.Connection, number: int, span: Span, note: Note, today: date | None = None, expected: int = ANY_VERSION
) -> Reservation:
    """Move a reservation to other days, all lines or none; raises Shortage."""
    there = _expect(connection, number, expected)
    elsewhere = moved(there, span)
    refuse(span_faults(span, "/needed"))
    refuse_distant(span, note, today)
    if there.state in HOLDING:
        outstanding = {line.item: line.outstanding for line in there.lines if line.outstanding}
        refuse_short(connection, outstanding, span, today, instead_of=there)
    return _save(connection, there, elsewhere, "move", note)


def expire(connection: sa.Connection, note: Note, today: date) -> list[Reservation]:
    """Expire every reservation not collected in time, as of the note's moment; return them as they are now."""
    gone = forgotten(connection, note.at, today)
    return [_save(connection, there, after(there, "expire"), "expire", note) for there in gone]


def forgotten(connection: sa.Connection, now: datetime, today: date) -> Sequence[Reservation]:
    """Return every reservation not collected in time."""
    late = sa.or_(reservations.c.last_day < today, reservations.c.expires_at <= now)
    waiting = read_reservations(connection, reservations.c.state.in_(("proposed", "reserved")), late)
    return [there for there in waiting if is_forgotten(there, now, today)]


def reservation(connection: sa.Connection, number: int) -> Reservation:
    """Return one reservation; raises NotFound."""
    found = read_reservations(connection, reservations.c.id == number)
    if not found:
        raise NotFound("reservation", number)
    return found[0]


def _pieces(there: Reservation) -> dict[str, int]:
    return {line.item: line.pieces for line in there.lines}


def _expect(connection: sa.Connection, number: int, expected: int) -> Reservation:
    there = reservation(connection, number)
    if expected not in (ANY_VERSION, there.version):
        raise Stale("reservation", number, expected, there.version)
    return there


def _count_returned(connection: sa.Connection, item: str, back: Returned, note: Note, number: int) -> None:
    if back.whole:
        counts.moved_kit(connection, "take_back", item, back.whole, note, number)
    if back.missing:
        there = counts.line(connection, item)
        gone = min(back.missing, there.count)
        # Pieces may have been reported broken while they were out; what is left cannot exceed the count.
        out = min(there.out_of_service, there.count - gone) - there.out_of_service
        changes = {"count_change": -gone, "out_of_service_change": out}
        counts.change(connection, item, "missing", note, back.missing, reservation=number, **changes)
    if back.broken:
        there = counts.line(connection, item)
        out = min(back.broken, there.usable)
        counts.change(connection, item, "break", note, back.broken, reservation=number, out_of_service_change=out)


def _insert(connection: sa.Connection, order: Order, note: Note, state: State) -> Reservation:
    days = {"first_day": order.span.first, "last_day": order.span.last, "expires_at": order.expires_at}
    origin = {"plan": order.plan, "plan_rank": order.plan_rank, "made_by": note.who, "made_at": note.at}
    row = sa.insert(reservations).values(job=order.job, state=state, version=1, **days, **origin)
    number = int(connection.execute(row.returning(reservations.c.id)).scalar_one())
    lines = tuple(ReservedLine(item, pieces) for item, pieces in sorted(order.pieces.items()))
    expires = None if order.expires_at is None else order.expires_at.astimezone(UTC)
    plan = (order.plan, order.plan_rank)
    made = Reservation(number, order.job, state, order.span, lines, note.who, note.at.astimezone(UTC), expires, *plan)
    connection.execute(sa.insert(reservation_lines), [_line_row(made, line) for line in lines])
    keep_sums(connection, None, made)
    _sign(connection, number, "reserve" if state == "reserved" else "propose", state, note)
    bump(connection)
    return made


def _save(connection: sa.Connection, before: Reservation, changed: Reservation, step: Step, note: Note) -> Reservation:
    """Write a reservation after a step, and what each line holds from now on."""
    row = {"state": changed.state, "first_day": changed.span.first, "last_day": changed.span.last, "version": changed.version}
    connection.execute(sa.update(reservations).where(reservations.c.id == changed.id).values(**row))
    connection.execute(_SAVE_LINE, [{**_line_row(changed, line), "of": changed.id, "named": line.item} for line in changed.lines])
    keep_sums(connection, before, changed)
    _sign(connection, changed.id, step, changed.state, note)
    bump(connection)
    return changed


def _line_row(there: Reservation, line: ReservedLine) -> dict[str, Any]:
    returned = {"whole": line.whole, "broken": line.broken, "missing": line.missing}
    return {"reservation": there.id, "item": line.item, "pieces": line.pieces, **returned, "held": there.held(line.item)}


_SAVE_LINE = sa.update(reservation_lines).where(
    reservation_lines.c.reservation == sa.bindparam("of"), reservation_lines.c.item == sa.bindparam("named")
)


def _sign(connection: sa.Connection, number: int, step: str, state: str, note: Note) -> None:
    signed = {"who": note.who, "at": note.at, "why": note.why, "key": note.key}
    connection.execute(sa.insert(reservation_steps).values(reservation=number, step=step, state=state, **signed))
