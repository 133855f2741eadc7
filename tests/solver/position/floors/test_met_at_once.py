"""No site meets more at once than is allowed for when its price is shared."""

from __future__ import annotations

import pytest

from solver.hardware.sites import find_sites
from solver.position.floors.met_at_once import met_at_once
from tests.solver.position.surveyed import places


@pytest.mark.parametrize(("seed", "pair"), [(0, True), (2, True), (6, True), (9, True), (18, True)])
def test_a_site_meets_no_more_at_once_than_its_matches_allow(seed: int, pair: bool) -> None:
    several = 0
    for orientation, lattices in places(seed, pair):
        most = met_at_once(orientation.reach)
        sites = find_sites(orientation.reach, lattices)
        met = sites.needs_met[sites.meetings.site]
        assert (met <= most[sites.meetings.match]).all()
        several += int((met > 1).sum())
    assert several
