"""Where on a table the weldment sits: how the lattice under it falls on the table's own holes."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from inventory.shapes import Array, turned
from inventory.tables import Hole, Table
from solver.geometry.hulls import Flags, Index
from solver.hardware.candidates import Lattice
from solver.hardware.sites import Sites
from solver.laying.laid_weldment import LaidWeldment
from solver.laying.lies import Lie
from solver.request import Without

MARGIN = 200.0
"""Room around the weldment that hardware is likely to want, mm."""


@dataclass(frozen=True)
class Seat:
    """Where on a table the lattice's hole (0, 0) of the lie frame lies, and the turn that is used there."""

    table: Table
    turn: float
    shift: Hole
    quarter: int

    def hole(self, hole: Hole) -> Hole:
        """Return the table's hole for one of the lie frame."""
        x, y = hole
        for _ in range(self.quarter):
            x, y = -y, x
        return x + self.shift[0], y + self.shift[1]


def usable_holes(table: Table, without: Without) -> Array:
    """Return which holes (columns, rows) of a table may be used."""
    usable = np.ones((table.columns, table.rows), dtype=bool)
    for column, row in table.blocked_holes:
        usable[column, row] = False
    for name, (column, row) in without.holes:
        if name in (None, table.id) and column < table.columns and row < table.rows:
            usable[column, row] = False
    return usable


def seat_on(table: Table, laid: LaidWeldment, lattice: Lattice, lie: Lie, without: Without) -> Seat | None:
    """Return the seat that leaves the most holes around the weldment, nearest to the table's middle; None if it does not fit."""
    best: tuple[float, float, int] | None = None
    chosen = None
    usable = usable_holes(table, without)
    for order, turn in enumerate(lie.same_turns):
        quarter = lie.quarters_to(turn)
        bounds = quarter_turned(laid.bounds[:, :2], quarter)
        phase = quarter_turned(np.array([lattice.phase]), quarter)[0]
        limits = []
        for axis in range(2):
            room = table.size[axis]
            origin = table.first[axis] - phase[axis]
            low = math.ceil((0.0 - bounds[0, axis] - origin) / table.pitch - 1e-9)
            high = math.floor((room - bounds[1, axis] - origin) / table.pitch + 1e-9)
            limits.append(range(low, high + 1))
        shifts = np.array([(a, b) for a in limits[0] for b in limits[1]], dtype=float).reshape(-1, 2)
        moves = np.array(table.first) + table.pitch * shifts - phase
        away = ((moves + bounds.mean(axis=0) - np.array(table.size) / 2) ** 2).sum(axis=1)
        if not len(moves):
            continue
        lost = lost_holes(table, usable, bounds + moves[:, None, :])
        k = int(np.lexsort((away, lost))[0])
        score = (float(lost[k]), float(away[k]), order)
        if best is None or score < best:
            best, chosen = score, Seat(table, turn, (int(shifts[k, 0]), int(shifts[k, 1])), quarter)
    return chosen


def quarter_turned(points: Array, quarter: int) -> Array:
    """Return level points turned by quarter turns; two corners stay lowest and highest."""
    moved = points @ turned(90.0 * quarter)[:2, :2].T
    return np.sort(moved, axis=0) if len(points) == 2 else moved


def slab(seat: Seat, lattice: Lattice) -> tuple[Array, Array]:
    """Return the lowest and highest corner (2,) of a table's slab in the lie frame of a seat."""
    turn = turned(90.0 * seat.quarter)[:2, :2]
    move = np.array(seat.table.first) + seat.table.pitch * np.array(seat.shift) - turn @ np.array(lattice.phase)
    corners = (np.array([[0.0, 0.0], seat.table.size]) - move) @ turn
    return corners.min(axis=0), corners.max(axis=0)


def lost_holes(table: Table, usable: Array, bounds: Array) -> Array:
    """Return how many holes within `MARGIN` of each of some bounds (n, 2, 2) are missing or may not be used, (n,)."""
    first, pitch = np.array(table.first), table.pitch
    low = np.ceil((bounds[:, 0] - MARGIN - first) / pitch).astype(int)
    high = np.floor((bounds[:, 1] + MARGIN - first) / pitch).astype(int) + 1
    so_far = np.zeros((table.columns + 1, table.rows + 1), dtype=int)
    so_far[1:, 1:] = usable.cumsum(axis=0).cumsum(axis=1)
    (a, b), (c, d) = np.clip(low, 0, [table.columns, table.rows]).T, np.clip(high, 0, [table.columns, table.rows]).T
    there: Array = so_far[c, d] - so_far[a, d] - so_far[c, b] + so_far[a, b]
    lost: Array = np.prod(high - low, axis=1) - there
    return lost


def off_table(sites: Sites, rows: Index, seat: Seat, usable: Array, edge: float) -> Flags:
    """Return which of some sites lack a usable hole for a peg, or stand with their bodies too far over the edge."""
    turn = turned(90.0 * seat.quarter)[:2, :2]
    holes = np.rint(sites.hole[rows] @ turn.T).astype(int) + np.array(seat.shift)
    size = np.array([seat.table.columns, seat.table.rows])
    pegs, bases = sites.footprints
    stack = sites.stack[rows]
    off = np.zeros(len(rows), dtype=bool)
    for peg in range(pegs.shape[1]):
        at = holes + np.rint(pegs[stack, peg] @ turn.T).astype(int)
        inside = ((at >= 0) & (at < size)).all(axis=1)
        at = np.clip(at, 0, size - 1)
        off |= ~inside | ~usable[at[:, 0], at[:, 1]]
    corners = np.sort(bases @ turn.T, axis=1)[stack]
    centres = np.array(seat.table.first) + seat.table.pitch * holes
    off |= (centres + corners[:, 0] < -edge).any(axis=1)
    off |= (centres + corners[:, 1] > np.array(seat.table.size) + edge).any(axis=1)
    return off
