"""A survey that gives nothing up and prices nothing, for tests that must not lean on floors."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence

import numpy as np

from solver.hardware.candidates import Lattice
from solver.hardware.reachable_holes import ReachableHoles
from solver.hardware.screening import screen
from solver.hardware.sites import find_sites
from solver.laying.laid_weldment import LaidWeldment
from solver.position.floors.screened_sites import Least, ScreenedSites


def without_floors(
    reach: ReachableHoles,
    lattices: Sequence[Lattice],
    laid: LaidWeldment,
    prices: Sequence[float],
    least: Least,
    refused: Counter[str],
) -> ScreenedSites:
    """Return every site that survives screening, whatever it costs and whether or not it is of use; all floors are 0."""
    screened = screen(find_sites(reach, lattices), laid, refused)
    return ScreenedSites(
        screened, np.zeros(len(lattices)), np.zeros((len(lattices), len(laid.parts))), np.ones(len(lattices), dtype=bool)
    )
