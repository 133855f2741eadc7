"""Which loads a clamped weldment can resist: contacts that only push, friction, clamps at their rated force.

Contact forces are sums of generators n + mu t in eight directions t, each with a weight >= 0, so the forces that balance a load
are the solutions of A x = b, x >= 0. A load is certified by a solution with few weights, which mostly balances its likes too,
else decided by a linear programme, whose solver is imported where it is asked: the search begins without it.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray
from scipy.sparse import csr_array

from inventory.shapes import Array
from solver.checks.arithmetic.bases import Basis
from solver.checks.arithmetic.blocks import Mask
from solver.checks.arithmetic.vectors import cross, square_to

DIRECTIONS = 8
DECIDED = (0, 2)
"""Solver states: optimal, infeasible."""
ENOUGH = 8
"""Failed loads after which a plan is given up."""


@dataclass(frozen=True)
class Body:
    """A free body: its place in the system, centre of gravity (mm) and the length that scales moments (mm)."""

    index: int
    centre: Array
    rho: float


@dataclass
class System:
    """Columns of forces on `count` bodies, and rows that bound sums of weights; loads in N, moments in N mm / rho."""

    bodies: Sequence[Body]
    columns: list[Array]
    bounded: list[tuple[list[int], float]]

    def wrench(self, body: Body, force: Array, at: Array) -> Array:
        """Return the load on the whole system of forces (k, 3) at points (k, 3) on one body, (k, 6 x bodies)."""
        force, at = np.atleast_2d(force), np.atleast_2d(at)
        load = np.zeros((len(force), 6 * len(self.bodies)))
        load[:, 6 * body.index : 6 * body.index + 3] = force
        load[:, 6 * body.index + 3 : 6 * body.index + 6] = cross(at - body.centre, force) / body.rho
        return load

    def add(self, columns: Array) -> list[int]:
        """Add force columns (k, 6 x bodies); return their places."""
        start = sum(len(block) for block in self.columns)
        self.columns.append(columns)
        return list(range(start, start + len(columns)))

    def contact(self, body: Body, other: Body | None, corners: Array, normal: Array, friction: float, cap: float | None) -> None:
        """Add a contact that pushes `body` along `normal` at its corners, and `other` the other way; `cap` bounds the push, N."""
        tangents = around(normal)
        forces = np.tile(normal + friction * tangents, (len(corners), 1))
        points = np.repeat(corners, DIRECTIONS, axis=0)
        load = self.wrench(body, forces, points)
        if other is not None:
            load -= self.wrench(other, forces, points)
        places = self.add(load)
        if cap is not None and math.isfinite(cap):
            self.bounded.append((places, cap))

    def grip(self, body: Body, at: Array, push: Array, limit: float) -> None:
        """Add the friction of a clamp tip, up to `limit` N across its push."""
        tangents = around(push)
        self.bounded.append((self.add(self.wrench(body, tangents, np.tile(at, (DIRECTIONS, 1)))), limit))

    def matrix(self) -> Array:
        """Return the balance and bound rows, slack columns last."""
        forces = np.concatenate(self.columns).T if self.columns else np.zeros((6 * len(self.bodies), 0))
        rows, width = forces.shape
        full = np.zeros((rows + len(self.bounded), width + len(self.bounded)))
        full[:rows, :width] = forces
        for k, (places, _) in enumerate(self.bounded):
            full[rows + k, places] = 1.0
            full[rows + k, width + k] = 1.0
        return full

    def right_side(self, load: Array) -> Array:
        """Return right-hand sides (k, rows) that balance loads (k, 6 x bodies)."""
        load = np.atleast_2d(load)
        limits = np.array([limit for _, limit in self.bounded])
        return np.hstack([-load, np.tile(limits, (len(load), 1))])


def around(normal: Array) -> Array:
    """Return eight unit directions square to a normal, (8, 3)."""
    first, second = square_to(normal)
    angles = np.arange(DIRECTIONS) * 2 * math.pi / DIRECTIONS
    found: Array = np.outer(np.cos(angles), first) + np.outer(np.sin(angles), second)
    return found


def resisted(system: System, still: Array, loads: Array, free: Sequence[Array | None], kinds: Sequence[str]) -> list[bool | None]:
    """Return for each load (k, 6 x bodies) whether the system can balance it on top of the `still` one.

    `free[k]` holds force columns (3, 6 x bodies) of any sign for that load alone. Once `ENOUGH` loads of one kind are known to be
    too much, those of that kind not yet decided stay None.
    """
    matrix, sides = system.matrix(), system.right_side(still + loads)
    eased = system.right_side(still + _relieved(loads, free))
    found: Mask = np.zeros(len(sides), dtype=bool)
    pattern = _patterns(loads)
    basis = Basis(matrix)
    verdicts: list[bool | None] = [None] * len(sides)
    failures = dict.fromkeys(kinds, 0)
    for k, kind in enumerate(kinds):
        if not found[k] and failures[kind] < ENOUGH:
            if basis.turn_to(eased[k]):
                like = np.flatnonzero(~found & (pattern == pattern[k]))
                found[like] = basis.balances(eased[like])
            if not found[k]:
                verdicts[k] = held = _solve(matrix, sides[k], free[k])
                failures[kind] += not held
    return [True if quick else verdict for quick, verdict in zip(found.tolist(), verdicts, strict=True)]


def _relieved(loads: Array, free: Sequence[Array | None]) -> Array:
    """Return what is left of loads once forces of any sign of their own have taken what they can, in least squares."""
    left = loads.copy()
    for k, columns in enumerate(free):
        if columns is not None:
            left[k] -= np.linalg.lstsq(columns.T, loads[k], rcond=None)[0] @ columns
    return left


def _patterns(loads: Array) -> NDArray[np.intp]:
    """Return a number for each load (k, 6 x bodies), the same where the same bodies are loaded."""
    on = np.abs(loads).reshape(len(loads), -1, 6).max(axis=2) > 0
    number: NDArray[np.intp] = np.unique(on, axis=0, return_inverse=True)[1].ravel()
    return number


def _solve(matrix: Array, side: Array, free: Array | None) -> bool:
    """Return whether A x = b has a solution x >= 0, by linear programming."""
    from scipy.optimize import linprog

    full, cost = matrix, np.ones(matrix.shape[1])
    if free is not None:
        padded = np.hstack([free, np.zeros((len(free), matrix.shape[0] - free.shape[1]))]).T
        full = np.hstack([matrix, padded, -padded])
        cost = np.concatenate([cost, np.zeros(2 * len(free))])
    rows: Any = csr_array(full)  # scipy's types ask for a dense array here
    found = linprog(cost, A_eq=rows, b_eq=side, bounds=(0, None), method="highs-ds")
    if found.status not in DECIDED:
        found = linprog(cost, A_eq=rows, b_eq=side, bounds=(0, None), method="highs-ipm")
    return bool(found.status == 0)
