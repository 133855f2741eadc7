"""Limits that a plan keeps, one kind a file: what is measured once, and how it is judged under other rules."""

from __future__ import annotations

from solver.rescoring.limits import (
    balance,
    clamps,
    facing_locators,
    holding,
    side_points,
    single_figures,
    torch,
    ways,
    weld_distances,
)
from solver.rescoring.limits.limit_kind import LimitKind

KINDS: tuple[LimitKind, ...] = (
    single_figures.KIND,
    side_points.KIND,
    balance.KIND,
    facing_locators.FACING,
    facing_locators.RINGS,
    clamps.COUNT,
    clamps.HARDNESS,
    weld_distances.KIND,
    torch.ANGLES,
    torch.SAMPLES,
    torch.ROOM,
    holding.KIND,
    ways.WAYS,
    ways.PARTS,
)
"""Every kind of limit; whoever measures or judges loops over these."""
