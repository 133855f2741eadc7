"""A survey that gives nothing up and prices nothing, for tests that must not lean on floors."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence

import numpy as np
import pytest

from solver.access.torch import TorchDirections
from solver.hardware.candidates import Lattice
from solver.position.floors.match_floors import MatchFloors
from solver.position.floors.screened_floors import Least, Survey
from solver.search import lies_to_positions, loading_orders, position_batches


def without_floors(
    bounds: MatchFloors, torch: TorchDirections, lattices: Sequence[Lattice], least: Least, refused: Counter[str]
) -> Survey:
    """Return that any position may hold a fixture, at any price."""
    parts = len(bounds.laid.parts)
    return Survey(np.zeros(len(lattices)), np.ones(len(lattices), dtype=bool), np.zeros((len(lattices), parts), dtype=bool))


def give_nothing_up(patch: pytest.MonkeyPatch) -> None:
    """Keep every position and seat, whatever it costs, and every site that survives screening, whether or not it is of use."""
    patch.setattr(lies_to_positions, "may_stand", lambda _, x, y: np.ones((len(x.meets), len(y.meets)), dtype=bool))
    patch.setattr(position_batches, "survey", without_floors)
    for floor in ("locating_floor", "placing_floor", "clamping_floor"):
        patch.setattr(position_batches, floor, lambda sites, *_: np.zeros(len(sites.lattices)))
    for floor in ("locating_floor", "carrying_floor"):
        patch.setattr(loading_orders, floor, lambda sites, *_: np.zeros(len(sites.lattices)))
    patch.setattr(loading_orders, "clamping_floors", lambda sites, cases, _: np.zeros((len(sites.lattices), len(cases))))
    patch.setattr(position_batches, "shutting_alone", lambda sites, _: np.zeros(len(sites), dtype=bool))
