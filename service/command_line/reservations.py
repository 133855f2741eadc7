"""Reservations on the command line."""

from __future__ import annotations

import hashlib
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from pathlib import Path
from typing import Any

from inventory import limits
from inventory.availability import Span
from inventory.errors import Fault, InvalidDocument
from inventory.reservations import STATES, Reservation, Returned
from inventory.store import Connection, Order, documents, finding
from inventory.store import reservations as desk
from inventory.store.finding import Wanted
from service.command_line import stock_console
from service.command_line.console import read_input
from service.stockroom.counting import hit_documents
from service.stockroom.documents import reservation_document
from service.stockroom.kits import PlannedKit
from service.stockroom.sweeping import after_a_sweep
from service.text import printable


@dataclass(frozen=True, slots=True)
class Asked:
    """What `holdwright reserve` was asked for."""

    plan: Path | None
    rank: int
    items: Sequence[str]
    job: str
    first: str | None
    last: str | None
    propose: bool


def reserved(asked: Asked, who: str | None, why: str, db: str | None) -> int:
    """Reserve a plan's kit, or pieces by item."""
    signature = stock_console.signed(who, why)
    kit = None if asked.plan is None else _kit(read_input(asked.plan))
    if (kit is None) == (not asked.items):
        raise InvalidDocument([Fault("", "names no pieces, or names them twice", "a PLAN or --item ITEM=PIECES, one of the two")])
    pieces = stock_console.counted(asked.items, "item") if kit is None else kit.pieces(asked.rank)
    span = stock_console.span_of(asked.first, asked.last)
    if span is None:
        raise InvalidDocument([Fault("/from", "no day is named", "--from DAY, and --to DAY for more than one")])
    job = asked.job or (asked.plan.stem if asked.plan is not None else "")
    order = Order(job, span, pieces, None, None if kit is None else kit.id, None if kit is None else asked.rank)
    act = desk.propose if asked.propose else desk.reserve

    def write(connection: Connection) -> Reservation:
        if kit is not None:
            from service.documents import plan_document

            documents.keep_plan(connection, kit.id, plan_document(kit.plan), None, span, signature)
        return act(connection, order, signature, date.today())

    with stock_console.the_store(db) as store:
        _say(after_a_sweep(store, signature.at, date.today(), lambda: store.write(write)))
    return 0


def returned(number: int, named: Mapping[str, Sequence[str]], rest: bool, who: str | None, why: str, db: str | None) -> int:
    """Take a kit back, in whole or in part."""
    signature = stock_console.signed(who, why)
    pieces = {condition: stock_console.counted(words, condition) for condition, words in named.items()}
    items = {item for counted in pieces.values() for item in counted}
    with stock_console.the_store(db) as store:

        def write(connection: Connection) -> tuple[Reservation, list[dict[str, Any]]]:
            there = desk.reservation(connection, number)
            back = {item: Returned(**{condition: pieces[condition].get(item, 0) for condition in pieces}) for item in items}
            if rest:
                back = {line.item: _with_rest(back.get(line.item, Returned()), line.outstanding) for line in there.lines} | {
                    item: each for item, each in back.items() if item not in {line.item for line in there.lines}
                }
            done = desk.take_back(connection, number, back if items or rest else None, signature)
            return done, hit_documents(connection, [line.item for line in done.lines], date.today())

        done, hit = store.write(write)
    _say(done)
    stock_console.say_hits(hit)
    return 0


def stepped(step: str, number: int, who: str | None, why: str, db: str | None) -> int:
    """Take a step that needs nothing but its number."""
    signature = stock_console.signed(who, why)
    acts: dict[str, Callable[[Connection], Reservation]] = {
        "hand_out": lambda connection: desk.hand_out(connection, number, signature, date.today()),
        "confirm": lambda connection: desk.confirm(connection, number, signature, date.today()),
        "release": lambda connection: desk.release(connection, number, signature),
    }
    with stock_console.the_store(db) as store:
        _say(after_a_sweep(store, signature.at, date.today(), lambda: store.write(acts[step])))
    return 0


def moved(number: int, first: str | None, last: str | None, who: str | None, why: str, db: str | None) -> int:
    """Move a reservation to other days; a day not named stays."""
    signature = stock_console.signed(who, why)
    begin, end = stock_console.day(first, "from"), stock_console.day(last, "to")

    def write(connection: Connection) -> Reservation:
        before = desk.reservation(connection, number).span
        span = Span(begin or before.first, end or (begin and before.from_day(begin).last) or before.last)
        return desk.move(connection, number, span, signature, date.today())

    with stock_console.the_store(db) as store:
        _say(after_a_sweep(store, signature.at, date.today(), lambda: store.write(write)))
    return 0


def swept(who: str | None, why: str, db: str | None) -> int:
    """Let go of reservations nobody came for."""
    with stock_console.the_store(db) as store:
        for each in store.expire(stock_console.signed(who, why), date.today()):
            _say(each)
    return 0


def shown(states: Sequence[str], item: str | None, first: str | None, last: str | None, db: str | None, json: bool) -> int:
    """List reservations."""
    faults = [fault for state in states for fault in limits.one_of_faults("/state", state, STATES)]
    if faults:
        raise InvalidDocument(faults)
    wanted = Wanted(states=tuple(states), item=item, days=stock_console.span_of(first, last))  # type: ignore[arg-type]
    with stock_console.the_store(db) as store:
        found = store.read(lambda connection: finding.find(connection, wanted, limit=1_000_000))
    if json:
        stock_console.as_json([reservation_document(each) for each in found])
        return 0
    rows: list[Sequence[object]] = [
        [each.id, each.job, each.state, each.span.first, each.span.last, ", ".join(f"{x.item}={x.pieces}" for x in each.lines)]
        for each in found
    ]
    stock_console.table(("number", "job", "state", "from", "to", "pieces"), rows)
    return 0


def _kit(raw: bytes) -> PlannedKit:
    """Return a plan file's kits; the plan is known by the fingerprint of its bytes."""
    from service.documents import read_plan

    return PlannedKit(f"file-{hashlib.sha256(raw).hexdigest()[:16]}", read_plan(raw), None)


def _with_rest(named: Returned, outstanding: int) -> Returned:
    return Returned(max(named.whole, outstanding - named.broken - named.missing), named.broken, named.missing)


def _say(there: Reservation) -> None:
    pieces = ", ".join(f"{line.pieces} {line.item}" for line in there.lines)
    days = f"{there.span.first.isoformat()}..{there.span.last.isoformat()}"
    left = ", ".join(f"{line.outstanding} {line.item}" for line in there.lines if line.outstanding)
    still = f"; outstanding: {left}" if there.state == "on_the_table" else ""
    print(printable(f"reservation {there.id} ({there.job}): {there.state}, {days}, {pieces}{still}"))
