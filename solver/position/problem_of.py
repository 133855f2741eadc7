"""The problem of one lattice position, built from its screened sites."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from inventory.shapes import Array
from inventory.stock import StockSnapshot
from inventory.tables import Table
from solver.access.torch import TorchDirections
from solver.cost import PieceTimes
from solver.geometry.hulls import Flags, joined
from solver.geometry.plan_view import off_patch
from solver.hardware.candidates import Candidate
from solver.hardware.clamp_lines import DOWN, THREAD, clamp_tips, clamped_over_support, parts_clamped
from solver.hardware.screening import ends_of_open_dimensions
from solver.hardware.sites import Sites
from solver.laying.laid_weldment import LaidWeldment
from solver.position.problem import Against, Problem
from solver.position.side_groups import side_groups
from solver.request import Request

AWAY = 0.05
"""A clamp whose push has more than this share along a locator's normal pushes the part off it."""


def problem_of(
    request: Request,
    stock: StockSnapshot,
    laid: LaidWeldment,
    sites: Sites,
    torch: TorchDirections,
    times: Sequence[PieceTimes],
    table: Table | None = None,
) -> Problem:
    """Return the problem of one lattice position on a table from the screened sites of its lattice.

    Parameters
    ----------
    times : sequence of PieceTimes
        What each of the sites' stacks adds to setup, cycle and price.
    """
    serving, bearing = parts_clamped(sites, laid), clamped_over_support(sites, laid)
    rests = _rests(sites, laid)
    over: dict[int, tuple[frozenset[int], ...]] = {}
    idle = np.zeros(len(sites), dtype=bool)
    at = clamp_tips(sites)
    for row in np.flatnonzero((serving & ~bearing).any(axis=1)).tolist():
        over[row] = tuple(
            _under(at[row, :2], rests[part], laid) for part in np.flatnonzero(serving[row] & ~bearing[row]).tolist()
        )
        idle[row] = any(not found for found in over[row])
    if idle.any():
        return problem_of(request, stock, laid, sites.where(~idle), torch, times, table)
    lattice = sites.lattices[int(sites.lattice[0])] if len(sites) else sites.lattices[0]
    candidates = sites.candidates(int(sites.lattice[0])) if len(sites) else []
    parts = range(len(laid.parts))
    return Problem(
        request, stock, laid, lattice, tuple(candidates), torch, sites.bodies(), sites.bodies(opened=True),
        sites.bodies(carriers=True),
        tuple(side_groups(candidates, laid)),
        tuple(tuple(rests[part]) for part in parts),
        tuple(tuple(np.flatnonzero(serving[:, part]).tolist()) for part in parts),
        over,
        _against(candidates, serving, laid),
        tuple(times[stack] for stack in sites.stack.tolist()),
        None if table is None else spare_kg(table, laid),
        joined([moved.bodies() for moved, _ in ends_of_open_dimensions(sites, laid)]) if laid.weldment.open_dimensions else None,
    )  # fmt: skip


def spare_kg(table: Table, laid: LaidWeldment) -> float | None:
    """Return what hardware may weigh on a table that carries the parts, kg; None if nobody knows what the table bears."""
    return None if table.max_load_kg is None else table.max_load_kg - sum(part.mass for part in laid.parts)


def _rests(sites: Sites, laid: LaidWeldment) -> list[list[tuple[int, Array]]]:
    """Return per part the locators under it, with their patches."""
    found: list[list[tuple[int, Array]]] = [[] for _ in laid.parts]
    m = sites.meetings
    for k in np.flatnonzero(~sites.clamping[m.site] & (m.normal[:, 2] > 0.5)).tolist():
        found[int(m.part[k])].append((int(m.site[k]), m.patch(k)))
    return found


def _under(tip: Array, rests: Sequence[tuple[int, Array]], laid: LaidWeldment) -> frozenset[int]:
    """Return the rests that bear a line of force near a point, mm."""
    reach = laid.rules["clamp.over_support"] - THREAD
    return frozenset(index for index, patch in rests if float(off_patch(patch, tip[None, :])[0]) <= reach)


def _against(candidates: Sequence[Candidate], serving: Flags, laid: LaidWeldment) -> dict[int, Against]:
    """Return for each side clamp what it pushes its part against, and what it would push its parts off."""
    rows = [(k, m.part, m.normal) for k, candidate in enumerate(candidates) if not candidate.clamp for m in candidate.meetings]
    owner = np.array([k for k, _, _ in rows], dtype=np.intp)
    part = np.array([p for _, p, _ in rows], dtype=np.intp)
    normal = np.array([n for _, _, n in rows]).reshape(-1, 3)
    found = {}
    for index, candidate in enumerate(candidates):
        push = candidate.stack.push
        if push is None or push[2] < DOWN:
            continue
        own = candidate.meetings[0].part
        along = normal @ push
        stops = frozenset(owner[(part == own) & (along < -0.5)].tolist())
        away = frozenset(owner[np.isin(part, np.flatnonzero(serving[index])) & (along > AWAY)].tolist())
        already = any(float(touch.normal @ push) < -0.5 for touch in laid.touches_of(own))
        found[index] = Against(stops, already, away)
    return found
