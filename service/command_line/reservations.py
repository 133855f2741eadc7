"""Reservations on the command line."""

from __future__ import annotations

import hashlib
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from pathlib import Path
from typing import Literal

from inventory import limits
from inventory.errors import Fault, InvalidDocument
from inventory.reservations import STATES, Reservation, Returned
from inventory.store import Connection, Note
from inventory.store.finding import Wanted
from service.command_line.arguments import day, pieces_by_item, signed, span_of
from service.command_line.printing.console import DONE, print_json, print_table, read_input
from service.command_line.sources import the_store
from service.command_line.stock_counts import days_text, say_hits
from service.documents import read_plan
from service.documents.stockroom.reservations import reservation_document, returned_document
from service.stockroom import reservations
from service.stockroom.expiry import with_overdue_expired
from service.stockroom.kits import PlannedKit
from service.stockroom.reservations import PlainStep
from service.text import printable
from service.text_table import Column

_ALL = 1_000_000
_STEPS: Mapping[str, PlainStep] = {
    "hand_out": reservations.hand_out,
    "confirm": reservations.confirm,
    "release": reservations.release,
}


@dataclass(frozen=True, slots=True)
class Wish:
    """What `holdwright reserve` was asked for, in the words of the command line."""

    plan: Path | None
    rank: int
    items: Sequence[str]
    job: str
    first: str | None
    last: str | None
    propose: bool


def reserve_pieces(wish: Wish, who: str | None, why: str, db: str | None, json: bool) -> int:
    """Reserve a plan's kit, or pieces by item."""
    signature = signed(who, why)
    kit = None if wish.plan is None else _kit(read_input(wish.plan))
    if (kit is None) == (not wish.items):
        raise InvalidDocument([Fault("", "names no pieces, or names them twice", "a PLAN or --item ITEM=PIECES, one of the two")])
    pieces = pieces_by_item(wish.items, "item") if kit is None else None
    span = span_of(wish.first, wish.last)
    if span is None:
        raise InvalidDocument([Fault("/from", "no day is named", "--from DAY, and --to DAY for more than one")])
    job = wish.job or (wish.plan.stem if wish.plan is not None else "")
    order = reservations.order_of(job, span, pieces, kit, wish.rank)

    def act(connection: Connection) -> Reservation:
        return reservations.promise(connection, order, kit, signature, date.today(), propose=wish.propose)

    return _written(signature, db, json, act)


def take_kit_back(
    number: int, named: Mapping[str, Sequence[str]], rest: bool, who: str | None, why: str, db: str | None, json: bool
) -> int:
    """Take a kit back, in whole or in part."""
    signature = signed(who, why)
    pieces = {condition: pieces_by_item(words, condition) for condition, words in named.items()}
    items = {item for counted in pieces.values() for item in counted}
    back = {item: Returned(**{condition: pieces[condition].get(item, 0) for condition in pieces}) for item in items}
    some = back if items or rest else None
    with the_store(db) as store:
        done = store.write(lambda c: reservations.take_back(c, number, some, signature, date.today(), rest_whole=rest))
    if json:
        print_json(returned_document(done.reservation, done.hits))
        return DONE
    _say(done.reservation)
    say_hits(done.hits)
    return DONE


def take_step(
    step: Literal["hand_out", "confirm", "release"], number: int, who: str | None, why: str, db: str | None, json: bool
) -> int:
    """Take a step that needs nothing but its number."""
    signature = signed(who, why)
    return _written(signature, db, json, lambda connection: _STEPS[step](connection, number, signature, date.today()))


def move_reservation(
    number: int, first: str | None, last: str | None, who: str | None, why: str, db: str | None, json: bool
) -> int:
    """Move a reservation to other days; a day not named stays."""
    signature = signed(who, why)
    begin, end = day(first, "from"), day(last, "to")
    return _written(signature, db, json, lambda c: reservations.move(c, number, begin, end, signature, date.today()))


def expire_reservations(who: str | None, why: str, db: str | None, json: bool) -> int:
    """Expire the reservations not collected in time."""
    with the_store(db) as store:
        expired = store.expire(signed(who, why), date.today())
    if json:
        print_json([reservation_document(each) for each in expired])
    elif not expired:
        print("no reservation is overdue")
    else:
        for each in expired:
            _say(each)
    return DONE


def list_reservations(
    states: Sequence[str], item: str | None, first: str | None, last: str | None, db: str | None, json: bool
) -> int:
    """List reservations."""
    faults = [fault for state in states for fault in limits.one_of_faults("/state", state, STATES)]
    if faults:
        raise InvalidDocument(faults)
    wanted = Wanted(states=tuple(states), item=item, days=span_of(first, last))  # type: ignore[arg-type]
    with the_store(db) as store:
        found = reservations.find(store, wanted, 0, _ALL)
    if json:
        print_json([reservation_document(each) for each in found])
        return DONE
    rows: list[Sequence[object]] = [
        [each.id, each.job, each.state, each.span.first, each.span.last, ", ".join(f"{x.item}={x.pieces}" for x in each.lines)]
        for each in found
    ]
    columns = ("number", Column("job", wraps=True), "state", "from", "to", Column("pieces", wraps=True))
    print_table(columns, rows, "no reservations")
    return DONE


def _written(signature: Note, db: str | None, json: bool, act: Callable[[Connection], Reservation]) -> int:
    """Write, once more if pieces are short and overdue reservations have expired, and say what became of the reservation."""
    with the_store(db) as store:
        there = with_overdue_expired(store, signature.at, date.today(), lambda: store.write(act))
    if json:
        print_json(reservation_document(there))
    else:
        _say(there)
    return DONE


def _kit(raw: bytes) -> PlannedKit:
    """Return a plan file's kits; the plan is known by the fingerprint of its bytes."""
    return PlannedKit(f"file-{hashlib.sha256(raw).hexdigest()[:16]}", read_plan(raw), None)


def _say(there: Reservation) -> None:
    pieces = ", ".join(f"{line.pieces} {line.item}" for line in there.lines)
    left = ", ".join(f"{line.outstanding} {line.item}" for line in there.lines if line.outstanding)
    still = f"; outstanding: {left}" if there.state == "on_the_table" else ""
    print(printable(f"reservation {there.id} ({there.job}): {there.state}, {days_text(there.span)}, {pieces}{still}"))
