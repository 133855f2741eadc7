"""Whether a part has a clamp at all, asked of that part alone, is what every site there says."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence

import numpy as np
import pytest

from solver.deadline import Deadline
from solver.geometry.tolerances import CARRIES
from solver.hardware.candidates import Lattice
from solver.hardware.clamp_lines import clamped_over_support, parts_clamped
from solver.hardware.screening import screen
from solver.hardware.sites import find_sites
from solver.position.floors.cheapest_clamps import has_clamp
from solver.position.torch_screen import shutting_alone
from solver.search.orientation import Orientation
from solver.search.search import Search
from solver.sections import Section
from solver.weldment import Part, Pose
from tests import builders as b
from tests.solver.position.surveyed import places


def clamped(orientation: Orientation, lattice: Lattice, part: int) -> bool:
    """Return whether some site of a lattice clamps a part and is borne, by looking at them all."""
    laid = orientation.laid
    sites = screen(find_sites(orientation.reach, [lattice]), laid, Counter())
    m = sites.meetings
    rests = (~sites.clamping[m.site] & (m.normal[:, 2] > CARRIES) & (m.part == part)).any()
    borne = clamped_over_support(sites, laid)[:, part] | rests
    serving = sites.clamping & parts_clamped(sites, laid)[:, part] & borne
    return bool((serving & ~shutting_alone(sites, orientation.torch)).any())


def agrees(orientation: Orientation, lattices: Sequence[Lattice]) -> list[bool]:
    """Return which parts have a clamp on which lattices, each told as it is."""
    expected: list[bool] = []
    for part in range(len(orientation.laid.parts)):
        alive = np.ones(len(lattices), dtype=bool)
        told = has_clamp(orientation.bounds, orientation.torch, lattices, alive, part, Counter()).tolist()
        own = [clamped(orientation, lattice, part) for lattice in lattices]
        assert told == own
        expected += own
    return expected


@pytest.mark.parametrize(("seed", "pair"), [(0, True), (1, True), (2, False), (5, False)])
def test_a_part_has_a_clamp_where_some_site_is_one(seed: int, pair: bool) -> None:
    assert any(any(agrees(orientation, lattices)) for orientation, lattices in places(seed, pair))


def test_a_post_above_all_clamps_has_none() -> None:
    """The bar beside it has one from most places."""
    post = Part("post", Section("square_tube", width=50, wall=3), 200, Pose((0, 80, 0), b.Z, b.Y))
    request = b.request(b.weldment(b.bar(), post))
    stock = b.shelf((b.stop(), 8), (b.down_clamp(high=130), 3))
    search = Search(request, stock, [], Deadline(lambda: 60.0))
    search.open()
    lattices = [Lattice((float(x), float(y)), 40.0) for x in range(0, 40, 10) for y in range(0, 40, 10)]
    bar, tall = np.array(agrees(search.tried[0], lattices)).reshape(2, -1)
    assert bar.any() and not tall.any()
