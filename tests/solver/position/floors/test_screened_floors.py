"""A survey tells what a look at every site would tell, whether or not it stops early."""

from __future__ import annotations

from collections import Counter

import numpy as np
import pytest

from solver.geometry.hulls import Flags
from solver.hardware.candidates import Lattice
from solver.hardware.screening import screen
from solver.hardware.sites import find_sites
from solver.position.floors.screened_floors import Least, survey
from solver.position.floors.site_floors import clamping_floor, placing_floor
from solver.position.torch_screen import shutting_alone
from solver.search.orientation import Orientation
from tests.solver.position.surveyed import places

JOBS = [(2, False), (4, False), (21, False), (0, True), (2, True), (6, True), (18, True)]


def by_every_site(orientation: Orientation, lattice: Lattice) -> float:
    """Return the floor of a lattice from all that can stand there; clamps that shut a weld alone serve nothing."""
    bounds, prices = orientation.bounds, np.array(orientation.bounds.prices)
    sites = screen(find_sites(orientation.reach, [lattice]), orientation.laid, Counter())
    sites = sites.where(~(shutting_alone(sites, orientation.torch) & sites.clamping))
    cases = np.array([[float(placing_floor(sites, part, laid, prices)[0]) for part, laid in bounds.choices.cases]])
    return float(bounds.choices.least(cases)[0] + clamping_floor(sites, orientation.laid, prices)[0])


def nothing_known(orientation: Orientation, count: int, most: float = np.inf) -> Least:
    return Least(np.zeros((count, len(orientation.bounds.choices.cases))), np.zeros(count), most)


@pytest.mark.parametrize(("seed", "pair"), JOBS)
def test_a_survey_tells_what_every_site_tells(seed: int, pair: bool) -> None:
    seen = 0
    for orientation, lattices in places(seed, pair):
        found = survey(orientation.bounds, orientation.torch, lattices, nothing_known(orientation, len(lattices)), Counter())
        expected = [by_every_site(orientation, lattice) for lattice in lattices]
        assert found.floor.tolist() == pytest.approx(expected)
        assert found.complete.tolist() == np.isfinite(expected).tolist()
        seen += len(lattices)
    assert seen


@pytest.mark.parametrize(("seed", "pair"), JOBS)
def test_what_is_above_interest_is_told_as_no_more_than_it_is(seed: int, pair: bool) -> None:
    for orientation, lattices in places(seed, pair):
        whole = survey(orientation.bounds, orientation.torch, lattices, nothing_known(orientation, len(lattices)), Counter())
        finite = whole.floor[np.isfinite(whole.floor)]
        most = float(np.median(finite)) if len(finite) else 100.0
        early = survey(
            orientation.bounds, orientation.torch, lattices, nothing_known(orientation, len(lattices), most), Counter()
        )
        assert (early.floor <= whole.floor + 1e-6).all()
        within: Flags = whole.floor <= most
        assert early.complete.tolist() == within.tolist()
        assert early.floor[within].tolist() == pytest.approx(whole.floor[within].tolist())
        assert (early.floor[~within] > most).all()
