"""The life of a reservation: every legal step, every illegal one refused with the legal ones named."""

from __future__ import annotations

import itertools
from datetime import UTC, date, datetime, timedelta

import pytest

from inventory.availability import Span
from inventory.errors import InvalidDocument
from inventory.reservations import (
    LEGAL,
    STATES,
    IllegalStep,
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

NOW = datetime(2027, 3, 1, 8, tzinfo=UTC)
TUESDAY, WEDNESDAY = date(2027, 3, 2), date(2027, 3, 3)
STEPS: tuple[Step, ...] = ("confirm", "hand_out", "take_back", "release", "expire", "move")


def a_reservation(state: State = "reserved", expires_at: datetime | None = None) -> Reservation:
    lines = (ReservedLine("riser-75", 4), ReservedLine("stop-60", 2))
    return Reservation(7, "hinge posts", state, Span(TUESDAY, WEDNESDAY), lines, "planner", NOW, expires_at)


@pytest.mark.parametrize(("state", "step"), list(itertools.product(STATES, STEPS)))
def test_every_step_from_every_state(state: State, step: Step) -> None:
    if step in LEGAL[state]:
        there = after(a_reservation(state), step)
        assert (there.state, there.version) == (LEGAL[state][step], 2)
    else:
        with pytest.raises(IllegalStep) as refusal:
            after(a_reservation(state), step)
        assert refusal.value.legal == tuple(LEGAL[state])
        assert all(legal in str(refusal.value) for legal in LEGAL[state])


def test_the_last_states_lead_nowhere_and_say_so() -> None:
    with pytest.raises(IllegalStep, match="reservation 7 is returned: hand_out is not allowed; allowed: none, its life is over"):
        after(a_reservation("returned"), "hand_out")


@pytest.mark.parametrize(
    ("state", "held"), [("proposed", 0), ("reserved", 4), ("on_the_table", 4), ("returned", 0), ("expired", 0)]
)
def test_only_a_promise_in_force_holds_pieces(state: State, held: int) -> None:
    assert a_reservation(state).held("riser-75") == held


def test_a_kit_taken_early_is_held_from_that_day() -> None:
    assert handed_out(a_reservation(), date(2027, 2, 26)).span == Span(date(2027, 2, 26), WEDNESDAY)
    assert handed_out(a_reservation(), WEDNESDAY).span == Span(TUESDAY, WEDNESDAY)


def test_a_kit_is_not_handed_out_after_its_last_day() -> None:
    with pytest.raises(IllegalStep, match="its last day 2027-03-03 has passed; move it first"):
        handed_out(a_reservation(), date(2027, 3, 4))


def test_a_partial_return_keeps_the_rest_on_the_table() -> None:
    part = taken_back(a_reservation("on_the_table"), {"riser-75": Returned(whole=2, broken=1)})
    assert part.state == "on_the_table"
    assert (part.held("riser-75"), part.held("stop-60")) == (1, 2)
    rest = taken_back(part, {"riser-75": Returned(missing=1), "stop-60": Returned(whole=2)})
    assert rest.state == "returned"
    assert rest.lines[0] == ReservedLine("riser-75", 4, whole=2, broken=1, missing=1)


@pytest.mark.parametrize(
    ("back", "wrong"),
    [
        ({"riser-75": Returned(whole=3, broken=2)}, "5 come back, 4 outstanding"),
        ({"riser-75": Returned(whole=-1)}, "negative"),
        ({"pin-14": Returned(whole=1)}, "pin-14 is not in reservation 7"),
        ({}, "nothing comes back"),
        ({"riser-75": Returned()}, "nothing comes back"),
    ],
)
def test_a_return_that_cannot_be_is_refused(back: dict[str, Returned], wrong: str) -> None:
    with pytest.raises(InvalidDocument, match=wrong):
        taken_back(a_reservation("on_the_table"), back)


def test_every_fault_of_a_return_is_named_at_once() -> None:
    with pytest.raises(InvalidDocument) as refusal:
        taken_back(a_reservation("on_the_table"), {"riser-75": Returned(whole=9), "pin-14": Returned(whole=1)})
    assert {fault.pointer for fault in refusal.value.faults} == {"/lines/riser-75", "/lines/pin-14"}


def test_a_kit_on_the_table_moves_its_last_day_only() -> None:
    later = Span(TUESDAY, date(2027, 3, 9))
    assert moved(a_reservation("on_the_table"), later).span == later
    with pytest.raises(IllegalStep, match="only its last day can move"):
        moved(a_reservation("on_the_table"), Span(WEDNESDAY, date(2027, 3, 9)))
    assert moved(a_reservation(), Span(WEDNESDAY, date(2027, 3, 9))).span.first == WEDNESDAY


def test_nobody_came() -> None:
    assert not is_forgotten(a_reservation(), NOW, WEDNESDAY)
    assert is_forgotten(a_reservation(), NOW, date(2027, 3, 4))
    assert is_forgotten(a_reservation("proposed", expires_at=NOW), NOW, TUESDAY)
    assert not is_forgotten(a_reservation("proposed", expires_at=NOW + timedelta(seconds=1)), NOW, TUESDAY)


@pytest.mark.parametrize("state", ["on_the_table", "returned", "released", "expired"])
def test_what_is_out_or_over_is_never_forgotten(state: State) -> None:
    assert not is_forgotten(a_reservation(state, expires_at=NOW), NOW, date(2028, 1, 1))
