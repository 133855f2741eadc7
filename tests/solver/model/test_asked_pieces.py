"""Asked pieces: a pin is met, a piece to avoid is not there, wherever the fixture sits and whatever serves as a side."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from solver.described_pieces import DescribedPiece
from solver.model.families.from_start import asked_pieces, located
from solver.position.problem import Problem
from solver.position.seats import Seat
from solver.sections import Section
from solver.weldment import Part, Pose
from tests import builders as b
from tests.solver.model.positions import Fixing, facing, position, those
from tests.solver.model.small import across, bar, ends

POST = b.weldment(Part("post", Section("round_bar", diameter=60.0), 80.0, Pose((0, 0, 0), b.Z, b.Y)))


def asked(problem: Problem, *pins: DescribedPiece, avoid: tuple[DescribedPiece, ...] = ()) -> Problem:
    """The same position, asked for pieces and without others."""
    return replace(problem, request=replace(problem.request, pins=pins, avoid=avoid), table="T1")


def test_a_pin_asks_for_one_such_piece() -> None:
    stop, end = across(bar())[0], ends(bar())[0]
    face = bar().candidates[stop].meetings[0].face
    rows = Fixing.of(asked(bar(), DescribedPiece(item="stop", part="bar", face=face)), asked_pieces)
    assert rows.allows([stop]) and rows.allows([stop, end])
    assert not rows.allows([end]) and not rows.allows([])


def test_a_piece_to_avoid_does_not_stand() -> None:
    stop = across(bar())[0]
    face = bar().candidates[stop].meetings[0].face
    rows = Fixing.of(asked(bar(), avoid=(DescribedPiece(part="bar", face=face),)), asked_pieces)
    assert not rows.allows([stop])
    assert rows.allows(ends(bar())[:1])


def test_what_is_a_side_depends_on_the_direction_chosen() -> None:
    """Two stops along the bar's side and one at its end: the one at the end may be pinned as end, not as side."""
    one, *_, other = across(bar())
    end = ends(bar())[0]
    face = bar().candidates[end].meetings[0].face
    for role, allowed in (("end", True), ("side", False)):
        pin = DescribedPiece(face=face, role=role)  # type: ignore[arg-type]
        assert Fixing.of(asked(bar(), pin), located, asked_pieces).allows([one, other, end]) == allowed
        rows = Fixing.of(asked(bar(), avoid=(pin,)), located, asked_pieces)
        assert rows.allows([one, other, end]) != allowed


def seated(*pins: DescribedPiece, avoid: tuple[DescribedPiece, ...] = ()) -> Problem:
    """The bar with three seats, one pitch apart along x; at the last one, nothing at its left end finds a hole."""
    table = bar().stock.tables["T1"]
    seats = tuple(Seat(table, 0.0, (shift, 5), 0) for shift in (5, 6, 7))
    off = [[False] * len(bar().candidates) for _ in seats]
    for index in across(bar())[:1]:
        off[2][index] = True
    return replace(asked(bar(), *pins, avoid=avoid), seats=seats, off_seat=np.array(off, dtype=bool))


def test_the_seat_is_one_at_which_a_pinned_hole_is_reached() -> None:
    stop = across(bar())[0]
    x, y = bar().candidates[stop].hole
    for shift, allowed in ((5, True), (6, True), (7, False), (9, False)):
        problem = seated(DescribedPiece(hole=(x + shift, y + 5)))
        assert Fixing.of(problem, asked_pieces).allows([stop]) == allowed, shift
    assert Fixing.of(seated(), asked_pieces).allows([stop])


def test_a_row_and_a_hole_are_avoided_by_another_seat() -> None:
    stop = across(bar())[0]
    x, y = bar().candidates[stop].hole
    elsewhere = seated(avoid=(DescribedPiece(hole=(x + 5, y + 5)),))
    assert Fixing.of(elsewhere, asked_pieces).allows([stop])
    everywhere = seated(avoid=(DescribedPiece(row=y + 5),))
    assert not Fixing.of(everywhere, asked_pieces).allows([stop])
    nowhere = seated(avoid=(DescribedPiece(column=x + 5), DescribedPiece(column=x + 6)))
    assert not Fixing.of(nowhere, asked_pieces).allows([stop])


def test_a_pin_by_place_and_role_holds_of_one_piece() -> None:
    """The stop in the hole asked for must be the end itself: that another piece is the end does not count."""
    one, *_, other = across(bar())
    end = ends(bar())[0]
    x, y = bar().candidates[other].hole
    rows = Fixing.of(seated(DescribedPiece(hole=(x + 5, y + 5), role="side")), located, asked_pieces)
    assert rows.allows([one, other, end])
    rows = Fixing.of(seated(DescribedPiece(hole=(x + 5, y + 5), role="end")), located, asked_pieces)
    assert not rows.allows([one, other, end])


@pytest.mark.parametrize("role", ["side", "end"])
def test_any_contact_around_a_round_post_may_be_called_its_end(role: str) -> None:
    problem = position(b.request(POST), b.shelf((b.stop(), 4), (b.stop("long", face=45), 4)), (35, 35))
    places = ((1, 0, "stop"), (0, 1, "stop"), (-1, 0, "long"))
    chosen = [index for place in places for index in those(problem, facing(*place))[:1]]
    assert len(chosen) == 3
    pin = DescribedPiece(item="stop", role=role)  # type: ignore[arg-type]
    assert Fixing.of(asked(problem, pin), located, asked_pieces).allows(chosen)
    # Of two stops and a long one the long one may be the end, but a stop is always left to be a side.
    assert Fixing.of(asked(problem, avoid=(pin,)), located, asked_pieces).allows(chosen) == (role == "end")
    two = Fixing.of(asked(problem, pin, avoid=(DescribedPiece(item="long", role=role),)), located, asked_pieces)  # type: ignore[arg-type]
    assert two.allows(chosen)


def test_without_seats_pins_by_place_are_left_to_each_seat() -> None:
    rows = Fixing.of(asked(bar(), DescribedPiece(hole=(0, 0))), asked_pieces)
    assert rows.allows(across(bar())[:1]) and not rows.allows([])
