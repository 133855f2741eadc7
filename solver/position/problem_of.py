"""The problem of one lattice position, built from its screened sites."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from inventory.shapes import Array
from inventory.stock import StockSnapshot
from inventory.tables import Table
from solver.access.torch import TorchDirections
from solver.cost import PieceTimes, fixtures_on_table
from solver.deadline import look
from solver.geometry.hulls import Flags, Hulls, joined
from solver.geometry.plan_view import beside_patch
from solver.hardware.clamp_lines import DOWN, THREAD, clamp_tips, clamped_over_support, parts_clamped, push_directions
from solver.hardware.screening import ends_of_open_dimensions
from solver.hardware.sites import Sites
from solver.laying.laid_weldment import LaidWeldment
from solver.position.arrangement.room import Room
from solver.position.problem import Against, Problem
from solver.position.seats import Seat, off_table, usable_holes
from solver.position.side_groups import side_groups
from solver.request import Request

AWAY = 0.05
"""A clamp whose push has more than this share along the normal of what the part lies against pushes it off."""


def problem_of(
    request: Request,
    stock: StockSnapshot,
    laid: LaidWeldment,
    sites: Sites,
    torch: TorchDirections,
    times: Sequence[PieceTimes],
    table: Table | None = None,
    seats: Sequence[Seat] = (),
    room: Room | None = None,
) -> Problem:
    """Return the problem of one lattice position on a table from the screened sites of its lattice.

    Parameters
    ----------
    times : sequence of PieceTimes
        What each of the sites' stacks adds to setup, cycle and price.
    seats : sequence of Seat
        Seats on that table among which the model chooses.
    room : Room
        The table as several stations share it.
    """
    look()
    sites, serving, over = _borne(sites, laid)
    look()
    rests = _rests(sites, laid)
    lattice = sites.lattices[int(sites.lattice[0])] if len(sites) else sites.lattices[0]
    candidates = sites.candidates(int(sites.lattice[0])) if len(sites) else []
    parts = range(len(laid.parts))
    look()
    return Problem(
        request, stock, laid, lattice, tuple(candidates), torch, sites.bodies(), sites.bodies(opened=True),
        sites.bodies(carriers=True),
        tuple(side_groups(candidates, laid)),
        tuple(tuple(rests[part]) for part in parts),
        tuple(tuple(np.flatnonzero(serving[:, part]).tolist()) for part in parts),
        over,
        _against(sites, serving, laid),
        tuple(times[stack] for stack in sites.stack.tolist()),
        None if table is None else spare_kg(table, laid, fixtures_on_table(request)),
        _following(sites, laid) if laid.weldment.open_dimensions else None,
        "" if table is None else table.id,
        tuple(seats),
        _off_seats(request, sites, seats),
        room,
    )  # fmt: skip


def _following(sites: Sites, laid: LaidWeldment) -> Hulls:
    """Return the bodies, clamps shut, of what follows an open dimension, at both ends of it; the owner is the candidate."""
    found = []
    for moved, _ in ends_of_open_dimensions(sites, laid):
        bodies = moved.bodies()
        found.append(bodies.take((moved.setting != sites.setting)[bodies.owner]))
    return joined(found)


def _off_seats(request: Request, sites: Sites, seats: Sequence[Seat]) -> Flags:
    """Return which sites find no usable hole at each seat, (seats, sites)."""
    rows, edge = np.arange(len(sites)), request.rules["clear.table_edge"]
    found = [off_table(sites, rows, seat, usable_holes(seat.table, request.without), edge) for seat in seats]
    return np.array(found, dtype=bool).reshape(len(seats), len(sites))


def spare_kg(table: Table, laid: LaidWeldment, stations: int) -> float | None:
    """Return what hardware may weigh on a table that carries the parts of all stations, kg; None if nobody knows its load."""
    return None if table.max_load_kg is None else table.max_load_kg - stations * sum(part.mass for part in laid.all_parts)


def _rests(sites: Sites, laid: LaidWeldment) -> list[list[tuple[int, Array]]]:
    """Return per part the locators under it, with their patches."""
    found: list[list[tuple[int, Array]]] = [[] for _ in laid.parts]
    m = sites.meetings
    for k in np.flatnonzero(~sites.clamping[m.site] & (m.normal[:, 2] > 0.5)).tolist():
        found[int(m.part[k])].append((int(m.site[k]), m.patch(k)))
    return found


def _borne(sites: Sites, laid: LaidWeldment) -> tuple[Sites, Flags, dict[int, tuple[frozenset[int], ...]]]:
    """Return the sites without clamps that are of no use, the parts each clamps (n, parts), and the rests that some need.

    Of no use is one that nothing can bear, or that pushes its part off what it lies against.

    The rests are given by clamp: for each part that neither table nor an earlier part bears there, those that would.
    """
    serving = parts_clamped(sites, laid)
    alone = serving & ~clamped_over_support(sites, laid)
    reach = laid.rules["clamp.over_support"] - THREAD
    at, rests = clamp_tips(sites), _rests(sites, laid)
    idle = _pushing_off(sites, laid)
    under: dict[int, list[list[int]]] = {row: [] for row in np.flatnonzero(alone.any(axis=1)).tolist()}
    for part, below in enumerate(rests):
        rows = np.flatnonzero(alone[:, part])
        near = np.array([beside_patch(patch, at[rows], reach) for _, patch in below], dtype=bool).reshape(len(below), len(rows))
        owner = np.array([site for site, _ in below], dtype=np.intp)
        idle[rows] |= ~near.any(axis=0)
        for k, row in enumerate(rows.tolist()):
            under[row].append(owner[near[:, k]].tolist())
    number = (np.cumsum(~idle) - 1).tolist()
    over = {
        number[row]: tuple(frozenset(number[site] for site in found) for found in by_part)
        for row, by_part in under.items()
        if not idle[row]
    }
    return (sites.where(~idle) if idle.any() else sites), serving[~idle], over


def _pushing_off(sites: Sites, laid: LaidWeldment) -> Flags:
    """Return which clamps push a part they press off the table or off a part that is in before it: at a mitre, say."""
    m, push = sites.meetings, push_directions(sites)
    found = np.zeros(len(sites), dtype=bool)
    for part in laid.parts:
        rows = m.site[(m.part == part.index) & sites.clamping[m.site]]
        for touch in laid.touches_of(part.index):
            found[rows] |= push[rows] @ touch.normal > AWAY
    return found


def _against(sites: Sites, serving: Flags, laid: LaidWeldment) -> dict[int, Against]:
    """Return for each side clamp what it pushes its part against, and what it would push its parts off."""
    m = sites.meetings
    locating = ~sites.clamping[m.site]
    owner, part, normal = m.site[locating], m.part[locating], m.normal[locating]
    pushed = np.zeros(len(sites), dtype=np.intp)
    pushed[m.site] = m.part
    push = push_directions(sites)
    found: dict[int, Against] = {}
    known: dict[tuple[int, bytes, bytes], Against] = {}
    for index in np.flatnonzero(sites.clamping & (push[:, 2] >= DOWN)).tolist():
        own = int(pushed[index])
        key = (own, push[index].tobytes(), serving[index].tobytes())
        if key not in known:
            along = normal @ push[index]
            stops = frozenset(owner[(part == own) & (along < -0.5)].tolist())
            away = frozenset(owner[serving[index][part] & (along > AWAY)].tolist())
            already = any(float(touch.normal @ push[index]) < -0.5 for touch in laid.touches_of(own))
            known[key] = Against(stops, already, away)
        found[index] = known[key]
    return found
