"""What shuts a weld alone is what shuts all its directions, each asked by itself."""

from __future__ import annotations

from collections import Counter

import numpy as np
import pytest

from solver.access.torch import torch_blocks
from solver.hardware.screening import screen
from solver.hardware.sites import find_sites
from solver.position.torch_screen import shutting_alone
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
