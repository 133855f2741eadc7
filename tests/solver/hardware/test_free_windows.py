"""What windows shut out is what screening would shut out: no site that survives screening lies outside them."""

from __future__ import annotations

from collections import Counter
from random import Random

import numpy as np
import pytest

from solver.hardware.candidates import Lattice
from solver.hardware.free_windows import FreeWindows
from solver.hardware.matching import Shelf, matches
from solver.hardware.reachable_holes import ReachableHoles
from solver.hardware.screening import screen
from solver.hardware.sites import Sites, find_sites
from solver.laying.lay_out import drawn_samples, lay_out
from tests.solver.model.tiny import tiny_pair


def standing(sites: Sites) -> set[tuple[object, ...]]:
    stacks = [tuple(level.item.id for level in sites.stacks[index].levels) for index in sites.stack.tolist()]
    turns = [sites.stacks[index].turn for index in sites.stack.tolist()]
    return set(zip(stacks, turns, map(tuple, sites.hole.tolist()), sites.setting.tolist(), strict=True))


@pytest.mark.parametrize("seed", range(8))
def test_no_site_that_survives_screening_lies_outside_the_windows(seed: int) -> None:
    draw = Random(seed)
    request, stock = tiny_pair(draw)
    samples, _ = drawn_samples(request.weldment, request.rules)
    laid = lay_out(request.weldment, request.rules, np.eye(3), 0.0, samples)
    stacks, found = matches(Shelf(list(stock.items.values()), 40.0, 2), laid)
    everywhere = ReachableHoles.of(stacks, found)
    lattices = [Lattice((draw.uniform(0, 40), draw.uniform(0, 40)), 40.0)]
    for match in found:
        places = [match.hole_at(axis) for axis in range(2)]
        if any(place is not None for place in places):
            phase = [draw.uniform(0, 40) if place is None else place % 40 for place in places]
            lattices.append(Lattice((phase[0], phase[1]), 40.0))
    kept = 0
    for lattice in lattices[:12]:
        survive = standing(screen(find_sites(everywhere, [lattice]), laid, Counter()))
        assert survive == standing(screen(find_sites(everywhere.past(laid), [lattice]), laid, Counter()))
        kept += len(survive)
    assert kept


def test_without_windows_nothing_is_shut() -> None:
    windows = FreeWindows.none(2)
    assert windows.hold(np.array([0, 1]), np.array([[5.0, 5.0], [-3.0, 9.0]])).all()
    assert not windows.dead().any()
