"""One reservation: its lines, the steps it took, and those it may take."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from datetime import date
from typing import Annotated

from fastapi import APIRouter, Path, Request
from fastapi.responses import Response

from inventory.limits import PIECES, escaped
from inventory.limits import Limit as Range
from inventory.reservations import LEGAL, Returned, Step
from inventory.store import Connection, Note, Store
from service.http.dependencies import StoreHere
from service.http.guard.queries import whole_number
from service.http.replies import Reply
from service.http.writes import Write, write_once
from service.page.forms import Form, FormHere
from service.page.frame import page
from service.page.store.looked_for import DoneField
from service.page.store.signing import REFUSED, StoreRefusal, done, refused, signed
from service.page.store.time_line import overdue_days
from service.page.writes import write_of_form
from service.stockroom import reservations, stock
from service.stockroom.expiry import with_overdue_expired
from service.stockroom.reservations import PlainStep

router = APIRouter()
_RANGE = whole_number(Range(1, 2**31 - 1, whole=True))
Number = Annotated[int, *_RANGE, Path()]
Action = Callable[[Connection, Note, int], int]
"""A step: with the connection, the signature and the version it is based on it gives the version after it."""
_DAYS = {"/needed/from": "from", "/needed/to": "to", "/needed": "from"}


@dataclass(frozen=True, slots=True)
class SentStep:
    """A step that a form asked for and that was refused: which, what was typed, why not."""

    step: Step
    form: Form
    refusal: StoreRefusal


@router.get("/store/reservations/{number}")
def show_reservation(request: Request, number: Number, store: StoreHere, done: DoneField = "") -> Response:
    """Show a reservation."""
    return _screen(request, store, number, done=done)


@router.post("/store/reservations/{number}/confirm")
def confirm_proposal(request: Request, number: Number, store: StoreHere, form: FormHere) -> Response:
    """Promise what was proposed."""
    return _plain(request, number, store, form, "confirm", reservations.confirm)


@router.post("/store/reservations/{number}/hand_out")
def hand_kit_out(request: Request, number: Number, store: StoreHere, form: FormHere) -> Response:
    """Give the kit out."""
    return _plain(request, number, store, form, "hand_out", reservations.hand_out)


@router.post("/store/reservations/{number}/release")
def release_promise(request: Request, number: Number, store: StoreHere, form: FormHere) -> Response:
    """Give a promise up."""
    return _plain(request, number, store, form, "release", reservations.release)


@router.post("/store/reservations/{number}/move")
def move_promise(request: Request, number: Number, store: StoreHere, form: FormHere) -> Response:
    """Move a reservation to other days."""
    write, first, last = write_of_form(request, form), form.day("from"), form.day("to")

    def act(connection: Connection, note: Note, expected: int) -> int:
        return reservations.move(connection, number, first, last, note, write.today, expected).version

    return _step(request, number, store, form, "move", write, act, _DAYS)


@router.post("/store/reservations/{number}/take_back")
def take_kit_back(request: Request, number: Number, store: StoreHere, form: FormHere) -> Response:
    """Take a kit or part of it back, broken and missing pieces noted."""
    write, lines = write_of_form(request, form), reservations.history(store, number).reservation.lines
    rest_whole = form.choice("rest", ("whole", "out"), "whole") == "whole"
    back: dict[str, Returned] = {}
    for place, line in enumerate(lines, 1):
        pieces = [_pieces(form, f"{name}_{place}") for name in ("whole", "broken", "missing")]
        if any(pieces):
            back[line.item] = Returned(*pieces)
    names = {f"/lines/{escaped(line.item)}": f"whole_{place}" for place, line in enumerate(lines, 1)}

    def act(connection: Connection, note: Note, expected: int) -> int:
        taken = reservations.take_back(connection, number, back, note, write.today, rest_whole=rest_whole, expected=expected)
        return taken.reservation.version

    return _step(request, number, store, form, "take_back", write, act, {**names, "/lines": "rest"})


def _pieces(form: Form, name: str) -> int:
    return form.whole(name, 0, int(PIECES.high), otherwise=0) or 0


def _plain(request: Request, number: int, store: Store, form: Form, name: Step, step: PlainStep) -> Response:
    write = write_of_form(request, form)

    def act(connection: Connection, note: Note, expected: int) -> int:
        return step(connection, number, note, write.today, expected).version

    return _step(request, number, store, form, name, write, act, {})


def _step(
    request: Request, number: int, store: Store, form: Form, name: Step, write: Write, act: Action, names: Mapping[str, str]
) -> Response:
    """Take a step, again after overdue reservations have expired where pieces are short; what refuses it is told at its form."""
    try:
        write.versions()
        note = signed(request, form, write)

        def upon(expected: int) -> Reply:
            def action(connection: Connection) -> Reply:
                return Reply({"version": act(connection, note, expected)})

            return with_overdue_expired(store, write.at, write.today, lambda: write_once(store, write, action))

        reply = write.based_on(upon)
    except REFUSED as error:
        return _screen(request, store, number, SentStep(name, form, refused(form, error, names)))
    assert reply.document is not None
    return done(request, form, f"/store/reservations/{number}?done={reply.document['version']}")


def _screen(request: Request, store: Store, number: int, sent: SentStep | None = None, done: str = "") -> Response:
    found, today = reservations.history(store, number), date.today()
    there = found.reservation
    items = [line.item for line in there.lines]
    return page(
        request,
        "store/reservation.html",
        block="reservation",
        status=sent.refusal.status if sent else 200,
        there=there,
        steps=found.steps,
        legal=tuple(LEGAL[there.state]),
        counted=stock.counted(store, items),
        hits=stock.all_hits(store, today, items).hits,
        overdue=overdue_days(there, today),
        sent=sent,
        forms={step: sent.form if sent and sent.step == step else Form({}) for steps in LEGAL.values() for step in steps},
        written=done == str(there.version),
        today=today,
    )
