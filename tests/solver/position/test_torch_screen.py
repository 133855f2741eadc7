"""What shuts a weld alone is what shuts all its directions, each asked by itself."""

from __future__ import annotations

from collections import Counter

import numpy as np
import pytest

from solver.access.torch import torch_blocks
from solver.hardware.screening import screen
from solver.hardware.sites import find_sites
from solver.position.torch_screen import shutting_alone
from tests import builders as b
from tests.solver.model.positions import position
from tests.solver.model.small import clamps
from tests.solver.position.surveyed import places


@pytest.mark.parametrize("seed", [0, 2, 6, 18, 21])
def test_what_shuts_a_weld_alone_shuts_all_its_directions(seed: int) -> None:
    for orientation, lattices in places(seed, True, most=4):
        torch = orientation.torch
        sites = screen(find_sites(orientation.reach, lattices), orientation.laid, Counter())
        blocks = torch_blocks(torch, sites.bodies())
        ways = {sample: np.flatnonzero(torch.sample == sample).tolist() for sample in set(torch.sample.tolist())}
        expected = [any(all((way, site) in blocks for way in own) for own in ways.values()) for site in range(len(sites))]
        assert shutting_alone(sites, torch).tolist() == expected


def test_no_clamp_stands_across_a_bead_made_in_the_fixture() -> None:
    """Two bars, a bead on their seam: arms reach over the seam beside the bead, wherever it is, none over it."""
    near, far = b.bar("near", 30, 20, 240, (0, 0, 10)), b.bar("far", 60, 20, 240, (0, 45, 10))
    shelf, across = b.shelf((b.stop(), 4), (b.down_clamp(), 2)), []
    for start, end in ((100, 140), (10, 20)):
        bead = b.fillet("w", ("near", "far"), (start, 15, 20), (end, 15, 20))
        problem = position(b.request(b.weldment(near, far, welds=[bead])), shelf, (15, 10))
        over_seam = {float(problem.candidates[k].origin[0]) for k in clamps(problem) if problem.candidates[k].origin[1] == -30.0}
        across.append(over_seam)
    assert across == [{15.0, 55.0, 175.0, 215.0}, {55.0, 95.0, 135.0, 175.0, 215.0}]
