"""Weldments longer than their table: seats from which they hang over the edge, and what of their underside the slab bears."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np

from inventory.shapes import Array, turned
from inventory.tables import Table
from solver.geometry.plan_view import inside_outline, inside_rectangle
from solver.geometry.tolerances import FLOOR_SLACK
from solver.hardware.candidates import Lattice
from solver.laying.laid_weldment import LaidWeldment
from solver.laying.lies import Lie
from solver.laying.requirements import carried, support_margin
from solver.position.seats import Seat, lost_holes, quarter_turned, seat_on, usable_holes
from solver.request import Without

MOST_TRIED = 200
"""Seats tried on a table that is too short, those with most holes around the weldment first."""
NEARLY = 1e-9


def seat_or_overhang(
    table: Table, laid: LaidWeldment, lattice: Lattice, lie: Lie, without: Without
) -> tuple[Seat | None, LaidWeldment]:
    """Return the seat on a table, None if there is none, and the weldment as it lies there.

    A weldment that fits lies on the table whole. A longer one hangs over the edge: its table contacts are what the slab
    bears; every part the table carried must still be carried, with the margin, and the whole weldment's centre of gravity
    must lie inside the outline of what bears it, or over the slab if rests or V-blocks bear it.
    """
    seat = seat_on(table, laid, lattice, lie, without)
    if seat is not None:
        return seat, laid
    if not _stays(laid, laid):
        return None, laid
    over, margin = _to_lie_over_slab(laid)
    for seat in _overlapping(table, laid, lattice, lie, without):
        low, high = slab(seat, lattice)
        if not ((over >= low + margin - NEARLY) & (over <= high - margin + NEARLY)).all():
            continue
        clipped = _clipped(laid, low, high)
        if _stays(laid, clipped):
            return seat, clipped
    return None, laid


def slab(seat: Seat, lattice: Lattice) -> tuple[Array, Array]:
    """Return the lowest and highest corner (2,) of a table's slab in the lie frame of a seat."""
    phase = quarter_turned(np.array([lattice.phase]), seat.quarter)[0]
    move = np.array(seat.table.first) + seat.table.pitch * np.array(seat.shift) - phase
    corners = (np.array([[0.0, 0.0], seat.table.size]) - move) @ turned(90.0 * seat.quarter)[:2, :2]
    low, high = corners.min(axis=0), corners.max(axis=0)
    return low, high


def _overlapping(table: Table, laid: LaidWeldment, lattice: Lattice, lie: Lie, without: Without) -> list[Seat]:
    """Return seats with the weldment's middle over the table, the best first.

    Best: along either axis one end has room for a stop; then the fewest holes are lost around it; then it lies most central.
    """
    usable = usable_holes(table, without)
    found: list[tuple[int, float, float, Seat]] = []
    for turn in lie.same_turns:
        quarter = lie.quarters_to(turn)
        bounds = quarter_turned(laid.bounds[:, :2], quarter)
        phase = quarter_turned(np.array([lattice.phase]), quarter)[0]
        origin = np.array(table.first) - phase + bounds.mean(axis=0)
        first = np.ceil(-origin / table.pitch)
        last = np.floor((np.array(table.size) - origin) / table.pitch)
        shifts = np.array([(a, b) for a in np.arange(first[0], last[0] + 1) for b in np.arange(first[1], last[1] + 1)])
        if not len(shifts):
            continue
        moves = np.array(table.first) + table.pitch * shifts - phase
        away = ((moves + bounds.mean(axis=0) - np.array(table.size) / 2) ** 2).sum(axis=1)
        there = bounds + moves[:, None, :]
        room = 2 * table.pitch
        shut = ((there[:, 0] < room) & (there[:, 1] > np.array(table.size) - room)).sum(axis=1)
        lost = lost_holes(table, usable, there)
        found += [
            (int(shut[k]), float(lost[k]), float(away[k]), Seat(table, turn, (int(shifts[k, 0]), int(shifts[k, 1])), quarter))
            for k in np.lexsort((away, lost, shut))[:MOST_TRIED].tolist()
        ]
    found.sort(key=lambda entry: entry[:3])
    return [entry[3] for entry in found[:MOST_TRIED]]


def _centre(laid: LaidWeldment) -> Array:
    """Return where the weldment's centre of gravity lies, seen from above (2,)."""
    masses = np.array([part.mass for part in laid.parts])
    centre: Array = masses @ np.array([part.centre[:2] for part in laid.parts]) / masses.sum()
    return centre


def _to_lie_over_slab(laid: LaidWeldment) -> tuple[Array, Array]:
    """Return points (k, 2) that must lie over the slab, and how far inside its edges (k, 1): centres of what it alone carries."""
    points, margins = [_centre(laid)], [laid.rules["locate.support_margin"]]
    for part in laid.parts:
        below = laid.supports_of(part.index)
        if below and all(touch.on_table for touch in below) and carried(laid, part):
            points.append(part.centre[:2])
            margins.append(support_margin(laid, part) - FLOOR_SLACK)
    if not any(touch.on_table for touch in laid.touches):
        points, margins = points[:1], margins[:1]
    return np.array(points), np.array(margins)[:, None]


def _clipped(laid: LaidWeldment, low: Array, high: Array) -> LaidWeldment:
    """Return the weldment with its table contacts cut at the slab's edges."""
    touches = []
    for touch in laid.touches:
        if not touch.on_table:
            touches.append(touch)
            continue
        patch = inside_rectangle(touch.patch, low, high)
        if patch is not None:
            touches.append(replace(touch, patch=patch))
    return replace(laid, touches=tuple(touches))


def _stays(whole: LaidWeldment, clipped: LaidWeldment) -> bool:
    """Return whether a weldment cut at the edge, its centre of gravity over the slab, lies there as it did, not tipped."""
    if not any(touch.on_table for touch in whole.touches):
        return True
    patches = [touch.patch[:, :2] for touch in clipped.touches if touch.on_table]
    margin = math.nextafter(whole.rules["locate.support_margin"], math.inf)
    if not patches or not inside_outline(np.concatenate(patches), _centre(whole), margin):
        return False
    return all(carried(clipped, part) for part in whole.parts if carried(whole, part))
