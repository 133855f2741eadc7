"""A survey tells what a look at every site would tell, whether or not it stops early."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator

import numpy as np
import pytest

from solver.geometry.hulls import Flags
from solver.hardware.candidates import Lattice
from solver.hardware.lattice_positions import positions_of
from solver.hardware.screening import screen
from solver.hardware.sites import find_sites
from solver.position.floors.screened_floors import Least, survey
from solver.position.floors.site_floors import clamping_floor, placing_floor
from solver.position.torch_screen import shutting_alone
from solver.search.orientation import Orientation, with_every_arm
from solver.search.sorts.carried_prices import arm_cents
from tests.solver.position.surveyed import places
from tests.solver.search.drawn_shelves import opened_on_a_drawn_shelf

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


@pytest.mark.parametrize("seed", (0, 4, 6))
def test_what_stands_on_arms_is_told_as_cheap_as_it_is_though_it_comes_late(seed: int) -> None:
    seen = 0
    for orientation, lattices in armed(seed):
        none = nothing_known(orientation, len(lattices))
        whole = survey(orientation.bounds, orientation.torch, lattices, none, Counter()).floor
        expected = np.array([by_every_site(orientation, lattice) for lattice in lattices])
        assert (whole <= expected + 1e-6).all() and (np.isfinite(whole) | np.isinf(expected)).all()
        finite = expected[np.isfinite(expected)]
        for most in np.quantile(finite, (0.0, 0.2, 0.5, 1.0)).tolist() if len(finite) else ():
            least = nothing_known(orientation, len(lattices), most + 1e-6)
            early = survey(orientation.bounds, orientation.torch, lattices, least, Counter())
            assert (early.floor <= expected + 1e-6).all()
            assert early.complete[expected <= most].all()
            seen += int((expected <= most).sum())
    assert seen


def armed(seed: int) -> Iterator[tuple[Orientation, list[Lattice]]]:
    """Yield orientations of a job with arms, wherever one may stand, each with some of its lattices."""
    search = opened_on_a_drawn_shelf(seed)
    for orientation in list(search.tried):
        shelf = search.shelf(orientation.bounds.pitch)
        there = with_every_arm(search.request, search.stock, orientation, shelf, arm_cents(search.request, search.stock, shelf))
        phases, _ = positions_of(there.reach, there.laid, there.bounds.pitch, there.bounds.told_apart)
        floors = np.concatenate([*there.bounds.floors_at(phases), [np.inf]])
        first = np.argsort(floors, kind="stable")[:: max(1, int(np.isfinite(floors).sum()) // 8)]
        lattices = [Lattice(phases[k], there.bounds.pitch) for k in first.tolist() if np.isfinite(floors[k])]
        if lattices:
            yield there, lattices
