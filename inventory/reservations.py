"""The life of a reservation, as a pure state machine: no clock, no database.

    proposed ──confirm──> reserved ──hand_out──> on_the_table ──take_back──> returned
        │                     │
        ├──release──> released <──release──┤
        └──expire───> expired  <──expire───┘

Only `reserved` and `on_the_table` hold pieces. A kit on the table never expires: the pieces are out, whatever the calendar says.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from datetime import date, datetime
from typing import Literal

from inventory.availability import Span
from inventory.errors import Conflict, Fault, refuse
from inventory.limits import escaped

State = Literal["proposed", "reserved", "on_the_table", "returned", "released", "expired"]
Step = Literal["confirm", "hand_out", "take_back", "release", "expire", "move"]
STATES: tuple[State, ...] = ("proposed", "reserved", "on_the_table", "returned", "released", "expired")
HOLDING: tuple[State, ...] = ("reserved", "on_the_table")

LEGAL: Mapping[State, Mapping[Step, State]] = {
    "proposed": {"confirm": "reserved", "move": "proposed", "release": "released", "expire": "expired"},
    "reserved": {"hand_out": "on_the_table", "move": "reserved", "release": "released", "expire": "expired"},
    "on_the_table": {"take_back": "returned", "move": "on_the_table"},
    "returned": {},
    "released": {},
    "expired": {},
}


class IllegalStep(Conflict):
    """A reservation was asked for a step its state does not allow; `legal` names those it does."""

    def __init__(self, reservation: int, state: State, step: Step, why: str = "") -> None:
        self.reservation, self.state, self.step = reservation, state, step
        self.legal: tuple[Step, ...] = tuple(LEGAL[state])
        reason = f" ({why})" if why else ""
        allowed = ", ".join(self.legal) if self.legal else "none, its life is over"
        super().__init__(f"reservation {reservation} is {state}: {step} is not allowed{reason}; allowed: {allowed}")


@dataclass(frozen=True, slots=True)
class Returned:
    """Pieces of one item that come back: whole, broken, or noted as missing."""

    whole: int = 0
    broken: int = 0
    missing: int = 0

    @property
    def pieces(self) -> int:
        """All pieces this entry accounts for."""
        return self.whole + self.broken + self.missing


@dataclass(frozen=True, slots=True)
class ReservedLine:
    """Pieces of one item in a reservation, and how many of them have come back in which condition."""

    item: str
    pieces: int
    whole: int = 0
    broken: int = 0
    missing: int = 0

    @property
    def outstanding(self) -> int:
        """Pieces not yet accounted for."""
        return self.pieces - self.whole - self.broken - self.missing


@dataclass(frozen=True, slots=True)
class Reservation:
    """Pieces promised to a job for a span of days.

    Parameters
    ----------
    id : int
        Number the store gave it.
    job : str
        What the pieces are for, in the shop's own words.
    expires_at : datetime or None
        After this moment a reservation nobody handed out is forgotten; its last day always ends it.
    plan, plan_rank : str or None, int or None
        The plan and the alternative the kit came from.
    version : int
        Grows with every change of this reservation.
    """

    id: int
    job: str
    state: State
    span: Span
    lines: tuple[ReservedLine, ...]
    made_by: str
    made_at: datetime
    expires_at: datetime | None = None
    plan: str | None = None
    plan_rank: int | None = None
    version: int = 1

    def held(self, item: str) -> int:
        """Pieces of an item this reservation keeps from everybody else."""
        if self.state not in HOLDING:
            return 0
        return sum(line.outstanding for line in self.lines if line.item == item)


def after(reservation: Reservation, step: Step) -> Reservation:
    """Return the reservation after a step; raises IllegalStep, naming the legal ones."""
    state = LEGAL[reservation.state].get(step)
    if state is None:
        raise IllegalStep(reservation.id, reservation.state, step)
    return replace(reservation, state=state, version=reservation.version + 1)


def handed_out(reservation: Reservation, today: date) -> Reservation:
    """Return the reservation with its kit on the table; taken early, it holds its pieces from today on.

    Raises IllegalStep if its last day has passed: those pieces may be promised to somebody else by now.
    """
    given = after(reservation, "hand_out")
    if today > reservation.span.last:
        passed = f"its last day {reservation.span.last.isoformat()} has passed; move it first"
        raise IllegalStep(reservation.id, reservation.state, "hand_out", passed)
    return replace(given, span=Span(min(today, given.span.first), given.span.last))


def taken_back(reservation: Reservation, returned: Mapping[str, Returned]) -> Reservation:
    """Return the reservation after pieces came back; it stays on the table until every piece is accounted for.

    Raises
    ------
    IllegalStep
        The kit is not on the table.
    InvalidDocument
        More pieces than are outstanding, an item that is not in the kit, a negative number, or nothing at all.
    """
    done = after(reservation, "take_back")
    lines = {line.item: line for line in reservation.lines}
    faults = [
        Fault(f"/lines/{escaped(item)}", f"{item} is not in reservation {reservation.id}", f"one of {', '.join(lines)}")
        for item in returned
        if item not in lines
    ]
    for item, back in returned.items():
        if min(back.whole, back.broken, back.missing) < 0:
            faults.append(Fault(f"/lines/{escaped(item)}", "negative number of pieces", "0 or more"))
        elif item in lines and back.pieces > lines[item].outstanding:
            wrong = f"{item}: {back.pieces} come back, {lines[item].outstanding} outstanding"
            faults.append(Fault(f"/lines/{escaped(item)}", wrong, f"at most {lines[item].outstanding}"))
    if not any(back.pieces for back in returned.values()):
        faults.append(Fault("/lines", "nothing comes back", "at least one piece, whole, broken or missing"))
    refuse(faults)
    nothing = Returned()
    kept = tuple(
        replace(line, whole=line.whole + back.whole, broken=line.broken + back.broken, missing=line.missing + back.missing)
        for line in reservation.lines
        for back in [returned.get(line.item, nothing)]
    )
    complete = all(line.outstanding == 0 for line in kept)
    return replace(done, lines=kept, state="returned" if complete else "on_the_table")


def moved(reservation: Reservation, span: Span) -> Reservation:
    """Return the reservation in another span of days; a kit on the table keeps its first day.

    Raises IllegalStep if it is over, or on the table and asked to start on another day.
    """
    there = after(reservation, "move")
    if reservation.state == "on_the_table" and span.first != reservation.span.first:
        out = f"the kit is out since {reservation.span.first.isoformat()}; only its last day can move"
        raise IllegalStep(reservation.id, reservation.state, "move", out)
    return replace(there, span=span)


def is_forgotten(reservation: Reservation, now: datetime, today: date) -> bool:
    """Return whether it was not collected in time: its hold ran out, or its last day passed without handing out."""
    if "expire" not in LEGAL[reservation.state]:
        return False
    ran_out = reservation.expires_at is not None and reservation.expires_at <= now
    return ran_out or reservation.span.last < today
