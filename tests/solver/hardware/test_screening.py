"""What falls by boxes within bodies falls in screening too, and most that falls there falls so."""

from __future__ import annotations

from collections import Counter
from random import Random

import numpy as np
import pytest

from solver.hardware import screening
from solver.hardware.candidates import Lattice
from solver.hardware.matching import Shelf, matches
from solver.hardware.reachable_holes import ReachableHoles
from solver.hardware.screening import plainly_struck, screen
from solver.hardware.sites import Sites, find_sites
from solver.laying.laid_weldment import LaidWeldment
from solver.laying.lay_out import drawn_samples, lay_out
from tests.properties.test_random_jobs import job


def reached(number: int, parts: int) -> tuple[ReachableHoles, list[Lattice], LaidWeldment]:
    """Return what reaches the faces of a random weldment, and a few lattices under it."""
    request, stock = job(number, parts)
    laid = lay_out(request.weldment, request.rules, np.eye(3), 0.0, drawn_samples(request.weldment, request.rules)[0])
    pitch = stock.tables[request.tables[0]].pitch
    reach = ReachableHoles.of(*matches(Shelf(list(stock.items.values()), pitch, 1), laid))
    draw = Random(number)
    lattices = []
    for match in draw.sample(list(reach.matches), 4):
        phase = [draw.uniform(0, pitch) if place is None else place % pitch for place in map(match.hole_at, range(2))]
        lattices.append(Lattice((phase[0], phase[1]), pitch))
    return reach, lattices, laid


def everywhere(number: int, parts: int) -> tuple[Sites, LaidWeldment]:
    """Return what stands anywhere on a few lattices under a random weldment."""
    reach, lattices, laid = reached(number, parts)
    return find_sites(reach, lattices), laid


@pytest.mark.parametrize(("number", "parts"), [(0, 3), (1, 4), (5, 4), (8, 3)])
def test_what_is_plainly_struck_falls_in_screening(number: int, parts: int, monkeypatch: pytest.MonkeyPatch) -> None:
    sites, laid = everywhere(number, parts)
    struck = plainly_struck(sites, laid)
    refused: Counter[str] = Counter()
    monkeypatch.setattr(screening, "plainly_struck", lambda sites, _: np.zeros(len(sites), dtype=bool))
    assert not len(screen(sites.where(struck), laid, Counter()))
    screen(sites, laid, refused)
    assert struck.sum() >= 0.5 * refused["clear.body"] > 0


def test_nothing_is_struck_where_nothing_stands() -> None:
    sites, laid = everywhere(0, 3)
    assert not len(plainly_struck(sites.where(np.zeros(len(sites), dtype=bool)), laid))
