"""A survey that gives nothing up and prices nothing, for tests that must not lean on floors."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Sequence

import numpy as np

from solver.candidates.assembly import Assembly
from solver.candidates.holes import Reach
from solver.candidates.placing import Lattice
from solver.candidates.screen import screen
from solver.candidates.sites import Sites, sites_on
from solver.candidates.survey import Surveyed
from solver.geometry.hulls import Flags


def without_floors(
    reach: Reach,
    lattices: Sequence[Lattice],
    along: int,
    assembly: Assembly,
    prices: Sequence[float],
    allowed: Callable[[Sites], Flags],
    refused: Counter[str],
) -> Surveyed:
    """Return every site that survives screening, whatever it costs and whether or not it is of use; all floors are 0."""
    sites = sites_on(reach, lattices, along)
    screened = screen(sites.where(allowed(sites)), assembly, refused)
    return Surveyed(screened, np.zeros(len(lattices)), np.zeros((len(lattices), len(assembly.parts))))
