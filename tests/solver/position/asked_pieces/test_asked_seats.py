"""Seats at which pins may be met: found by what stands where, alike ones once, none where no hole is right."""

from __future__ import annotations

from dataclasses import replace

import pytest

from solver.deadline import Deadline
from solver.described_pieces import DescribedPiece, KeptPiece
from solver.hardware.candidates import Lattice
from solver.laying.lay_out import drawn_samples
from solver.position.asked_pieces.asked_seats import AskedSeats, asked_seats, names_places
from solver.position.asked_pieces.asked_sites import not_avoided, pins_may_be_met
from solver.position.asked_pieces.fitting import at_seats, has_place, may_fit
from solver.position.asked_pieces.lattices import meeting_pins
from solver.request import Request, Without
from solver.search.position_batches import usable_sites
from solver.search.search import Search
from tests import builders as b

BAR = b.weldment(b.bar())
SHELF = b.shelf((b.stop(), 4), (b.stop("stop-20", face=20), 4), (b.down_clamp(), 2))
BED = SHELF.tables["T1"]


class Opened:
    """A search that is opened, and the best of its lattice positions with all that can stand there."""

    def __init__(self, asked: Request) -> None:
        samples, _ = drawn_samples(asked.weldment, asked.rules)
        self.search = Search(asked, SHELF, samples, Deadline(lambda: 60.0))
        self.search.open()
        self.position = self.search.positions[0]
        orientation = self.position.orientation
        self.laid, self.lie, self.lattice = orientation.laid, orientation.lie, self.position.lattice
        self.sites = usable_sites(orientation, self.lattice, self.search.tally.refused)

    def seats(self, *pins: DescribedPiece, avoid: tuple[DescribedPiece, ...] = ()) -> AskedSeats:
        """The seats looked at for some pins."""
        asked = replace(self.search.request, pins=pins, avoid=avoid)
        return asked_seats(asked, BED, self.laid, self.lattice, self.lie, self.sites)


@pytest.fixture(scope="module")
def here() -> Opened:
    return Opened(b.request(BAR, turn=(0.0, 90.0)))


def test_each_seat_brings_a_piece_to_the_hole(here: Opened) -> None:
    pin = DescribedPiece(hole=(9, 7))
    found = here.seats(pin)
    assert found.groups and not found.left
    for group in found.groups:
        sites = here.sites.where(group.usable)
        assert at_seats(pin, sites.candidates(0), group.seats).any(axis=1).all()


def test_a_hole_to_avoid_needs_few_seats(here: Opened) -> None:
    """Wherever nothing can stand in it, all seats are alike."""
    (group,) = here.seats(avoid=(DescribedPiece(hole=(0, 0)),)).groups
    assert len(group.seats) < 4


def test_a_hole_nothing_reaches_has_no_seat(here: Opened) -> None:
    assert here.seats(DescribedPiece(hole=(400, 400))) == AskedSeats((), 0)
    assert here.seats(DescribedPiece(hole=(1, 1)), DescribedPiece(hole=(22, 14))) == AskedSeats((), 0)


def test_only_places_on_a_table_need_seats() -> None:
    assert not names_places(b.request(BAR, pins=(DescribedPiece(item="stop", table="T1"),)))
    assert names_places(b.request(BAR, avoid=(DescribedPiece(row=3),)))


def test_a_table_has_a_place_where_a_hole_may_be_used() -> None:
    blocked = replace(BED, blocked_holes=frozenset({(2, 6)}))
    without = Without(holes=frozenset({(None, (3, 6))}))
    for hole, there in (((2, 6), False), ((3, 6), False), ((4, 6), True), ((24, 6), False)):
        assert has_place(DescribedPiece(hole=hole), blocked, without) == there, hole
    assert has_place(DescribedPiece(row=15), BED, without) and not has_place(DescribedPiece(row=16), BED, without)
    assert not has_place(DescribedPiece(table="T2"), BED, without)
    kept = KeptPiece("p1", "T1", (("stop", None, 0.0, None), ("riser", "C7", 0.0, None)))
    assert has_place(DescribedPiece(piece=kept), BED, without) and not has_place(DescribedPiece(piece=kept), blocked, without)


def test_what_is_avoided_everywhere_is_no_site(here: Opened) -> None:
    asked = b.request(BAR, avoid=(DescribedPiece(item="stop"),))
    kept = not_avoided(asked, BED, here.laid, here.sites)
    assert {candidate.stack.top.id for candidate in kept.candidates(0)} == {"stop-20", "clamp"}
    by_role = b.request(BAR, avoid=(DescribedPiece(item="stop", role="end"), DescribedPiece(row=2)))
    assert len(not_avoided(by_role, BED, here.laid, here.sites)) == len(here.sites)


def test_a_pin_is_met_by_a_site_or_by_none(here: Opened) -> None:
    for pin, met in ((DescribedPiece(item="stop"), True), (DescribedPiece(item="clamp", role="side"), False)):
        assert pins_may_be_met(b.request(BAR, pins=(pin,)), BED, here.laid, here.sites) == met
    assert not pins_may_be_met(b.request(BAR, pins=(DescribedPiece(face="side:3"),)), BED, here.laid, here.sites)


def test_many_lattices_are_judged_as_each_alone(here: Opened) -> None:
    """Which lattices can meet a pin: as many sites say so, one lattice after the other."""
    orientation = here.position.orientation
    lattices = [position.lattice for position in here.search.positions[:20]] + [Lattice((1.5, 2.5), 40.0)]
    for pin in (DescribedPiece(item="stop", part="bar", face="end"), DescribedPiece(item="stop-20", role="side")):
        found = meeting_pins([pin], orientation.reach, here.laid, lattices, screened=True)
        for lattice, meets in zip(lattices, found, strict=True):
            sites = usable_sites(orientation, lattice, here.search.tally.refused)
            assert meets == any(may_fit(pin, candidate, here.laid, "T1") for candidate in sites.candidates(0))
        assert found.any() and not found[-1]
