"""Seats: where every site finds its hole one is enough; between blocked holes and at the edge each that may matter is there."""

from __future__ import annotations

from collections import Counter

import numpy as np

from inventory.tables import Table
from solver.hardware.candidates import Lattice
from solver.hardware.matching import Shelf, matches
from solver.hardware.reachable_holes import ReachableHoles
from solver.hardware.screening import screen
from solver.hardware.sites import find_sites
from solver.laying.lay_out import drawn_samples, lay_out
from solver.laying.lies import Lie
from solver.position.seatings import Seatings, seatings_of
from solver.request import Without
from solver.weldment import Weldment
from tests import builders as b


def seats(weldment: Weldment, table: Table) -> Seatings:
    request = b.request(weldment)
    samples, _ = drawn_samples(weldment, request.rules)
    laid = lay_out(weldment, request.rules, np.eye(3), 0.0, samples)
    stacks, found = matches(Shelf([b.stop(), b.down_clamp()], table.pitch, 2), laid)
    lattice = Lattice((20.0, 20.0), table.pitch)
    sites = screen(find_sites(ReachableHoles.of(stacks, found), [lattice]), laid, Counter())
    return seatings_of(table, laid, lattice, Lie("-z", 0.0, 0.0, (0.0,)), Without(), sites, 30.0)


def test_amid_a_large_table_one_seat_is_as_good_as_any() -> None:
    found = seats(b.weldment(b.bar(length=200)), b.table(columns=30, rows=30))
    assert len(found.seatings) == 1 and not found.left
    assert found.seatings[0].usable.all()


def test_between_blocked_holes_no_seat_is_kept_that_another_is_better_than() -> None:
    blocked = frozenset((column, row) for column in range(0, 14, 3) for row in range(0, 10, 4))
    found = seats(b.weldment(b.bar(length=200)), b.table(columns=14, rows=10, blocked_holes=blocked))
    assert len(found.seatings) > 1
    for one in found.seatings:
        for other in found.seatings:
            assert one is other or (one.usable & ~other.usable).any()


def test_a_beam_longer_than_its_table_hangs_over_either_end_or_both() -> None:
    weldment = b.weldment(b.tube(length=1000))
    found = seats(weldment, b.table(columns=16, rows=10))
    assert found.seatings
    for seating in found.seatings:
        (touch,) = [touch for touch in seating.laid.touches if touch.on_table]
        assert float(np.ptp(touch.patch[:, 0])) < 1000 - 1
