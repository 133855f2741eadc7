"""Dimensions not known yet: stops that set one follow its whole range and stay clear of everything at both ends."""

from __future__ import annotations

from collections import Counter
from dataclasses import replace

import numpy as np
import pytest

from inventory.items import Contact, Item, Slide
from inventory.stock import StockSnapshot
from solver.geometry.hulls import Hulls, joined
from solver.hardware.candidates import Lattice
from solver.hardware.matching import Shelf, matches
from solver.hardware.reachable_holes import ReachableHoles
from solver.hardware.screening import ends_of_open_dimensions, screen
from solver.hardware.sites import Sites, find_sites
from solver.laying.laid_weldment import LaidWeldment
from solver.laying.lay_out import lay_out
from solver.position import problem_of
from solver.weldment import OpenDimension, Weldment
from tests import builders as b
from tests.solver.kinds.shop import planned
from tests.solver.model.positions import position


def open_bar(low: float, high: float, beside: bool = False) -> Weldment:
    """A bar whose length is not known yet; `beside`: other bars lie along both its sides up to 5 mm before its end."""
    bars = [b.bar("bar", 50, 20, 300, (0, 25, 10))]
    if beside:
        bars += [b.bar("left", 40, 20, 245, (50, 72, 10)), b.bar("right", 40, 20, 245, (50, -22, 10))]
    return b.weldment(*bars, open_dimensions=(OpenDimension("bar", b.X, low, high),))


def shelf(*more: Item) -> StockSnapshot:
    """Fixed stops, clamps, and what else is asked for."""
    fixed = [(b.stop(height=18), 8), (b.stop("stop-20", face=20, height=18), 8)]
    clamps = [(b.down_clamp(), 6), (b.down_clamp("long", reach=120), 6)]
    return b.shelf(*fixed, *clamps, *((item, 4) for item in more))


def wide_slide(travel: float = 30) -> Item:
    """An adjustable stop with a head 90 wide."""
    solids = (
        b.box(-15, -40, 15, -15, 0, 18),
        b.box(-45, 10, 45, 20, 1, 18, moves=True),
        b.box(-5, -30, 5, 12, 1, 18, moves=True),
    )
    pad = Contact((0, 20, 9), b.Y, 90, 16, moves=True)
    return b._item("wide-slide", "adjustable_stop", solids, (pad,), slide=Slide((0, 1), 0, travel, 0), set_s=40)


@pytest.mark.parametrize(("reach", "status"), [(5, "optimal"), (12, "optimal"), (13, "infeasible")])
def test_a_stop_follows_the_whole_range(reach: float, status: str) -> None:
    found = planned(open_bar(-reach, reach), shelf(b.adjustable_stop(height=40)))
    assert found.status == status
    if found.alternatives:
        (end,) = [p for p in found.alternatives[0].placements if p.item == "adjustable"]
        assert end.setting_mm is not None and reach <= end.setting_mm <= 25 - reach


def test_without_an_adjustable_stop_a_length_stays_open() -> None:
    assert planned(open_bar(-5, 5), shelf()).status == "infeasible"


def surviving(weldment: Weldment) -> int:
    """Return how many places of the wide stop against the bar's far end are left after screening."""
    rules = b.request(weldment).rules
    laid = lay_out(weldment, rules, np.eye(3), 0.0, [])
    stands, found = matches(Shelf([wide_slide()], 40.0, 2), laid)
    sites = screen(
        find_sites(ReachableHoles.of(stands, found), [Lattice((15.0, float(y)), 40.0) for y in range(0, 40, 5)]),
        laid,
        Counter(),
    )
    faces = [found[match].face for match in sites.meetings.match.tolist()]
    return sum((face.part, face.label) == (0, "end") for face in faces)


def test_the_stop_stays_clear_of_neighbours_at_both_ends() -> None:
    assert surviving(open_bar(-3, 3, beside=True)) > 0
    assert surviving(open_bar(-10, 3)) > 0
    assert surviving(open_bar(-10, 3, beside=True)) == 0, "10 mm shorter, the head would run into the bars beside it"


def test_only_what_follows_a_dimension_is_asked_at_its_ends(monkeypatch: pytest.MonkeyPatch) -> None:
    """What stands still there stands as it did, so that asking all at both ends finds no more."""

    def all_of_them(sites: Sites, laid: LaidWeldment) -> Hulls:
        return joined([moved.bodies() for moved, _ in ends_of_open_dimensions(sites, laid)])

    request, stock = b.request(open_bar(-12, 12)), shelf(wide_slide())
    asked = position(request, stock, (15, 5))
    assert asked.ends is not None and replace(asked, ends=None).conflicts < asked.conflicts
    monkeypatch.setattr(problem_of, "_following", all_of_them)
    whole = position(request, stock, (15, 5))
    assert whole.ends is not None and len(whole.ends) > len(asked.ends) and whole.conflicts == asked.conflicts
