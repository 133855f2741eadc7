"""A survey that gives nothing up and prices nothing, for tests that must not lean on floors."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Sequence

import numpy as np

from solver.geometry.hulls import Flags
from solver.hardware.candidates import Lattice
from solver.hardware.reachable_holes import ReachableHoles
from solver.hardware.screening import screen
from solver.hardware.sites import Sites, sites_on
from solver.laying.laid_weldment import LaidWeldment
from solver.position.survey import Surveyed


def without_floors(
    reach: ReachableHoles,
    lattices: Sequence[Lattice],
    along: int,
    laid: LaidWeldment,
    prices: Sequence[float],
    allowed: Callable[[Sites], Flags],
    refused: Counter[str],
) -> Surveyed:
    """Return every site that survives screening, whatever it costs and whether or not it is of use; all floors are 0."""
    sites = sites_on(reach, lattices, along)
    screened = screen(sites.where(allowed(sites)), laid, refused)
    return Surveyed(screened, np.zeros(len(lattices)), np.zeros((len(lattices), len(laid.parts))))
