"""Which loads a clamped weldment can resist: contacts that only push, friction, clamps at their rated force.

Contact forces are sums of generators n + mu t in eight directions t, each with a weight >= 0, so the forces that balance a load
are the solutions of A x = b, x >= 0. A load is certified by a solution near a well-centred one (an ellipsoid about any positive
solution holds only positive solutions), else decided by a linear programme. Its solver is imported where it is asked: the search
begins without it.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
from scipy.sparse import csc_array, csr_array

from inventory.shapes import Array
from solver.checks.arithmetic.blocks import Mask
from solver.checks.arithmetic.vectors import cross, square_to

DIRECTIONS = 8
CENTRING_STEPS = 12
APPROACH_STEPS = 10
BALANCE = 1e-6
DECIDED = (0, 2)
"""Solver states: optimal, infeasible."""
ENOUGH = 8
"""Failed loads after which a plan is given up."""
LOST = 200
"""Walks that led nowhere, after which no more are begun."""
MOST_AT_ONCE = 4_000_000
"""Numbers held at a time by walks side by side."""


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


@dataclass(frozen=True)
class Balance:
    """The rows A of a system, most of them 0: `rows` (r, n), and `products` (r x r, n), the outer product of each column."""

    rows: Any
    products: Any

    @staticmethod
    def of(matrix: Array) -> Balance:
        """Take the rows (r, n) of a system apart."""
        count, width = matrix.shape
        columns = csc_array(matrix)
        many = np.diff(columns.indptr)
        places, values, owners = [], [], []
        for size in np.unique(many).tolist():
            own = np.flatnonzero(many == size)
            entries = columns.indptr[own][:, None] + np.arange(size)
            row, value = columns.indices[entries], columns.data[entries]
            places.append((row[:, :, None] * count + row[:, None, :]).ravel())
            values.append((value[:, :, None] * value[:, None, :]).ravel())
            owners.append(np.repeat(own, size * size))
        where = (np.concatenate(places), np.concatenate(owners))
        products = csr_array((np.concatenate(values), where), shape=(count * count, width))
        return Balance(csr_array(matrix), products)

    def scaled(self, x: Array) -> Array:
        """Return A X X A' for diagonal X of some weights (k, n), (k, r, r)."""
        count = self.rows.shape[0]
        found: Array = (self.products @ (x * x).T).T.reshape(len(x), count, count)
        return found

    def of_weights(self, x: Array) -> Array:
        """Return A x for some weights (k, n), (k, r)."""
        found: Array = (self.rows @ x.T).T
        return found

    def step(self, x: Array, multipliers: Array) -> Array:
        """Return X X A' y for multipliers y (k, r): the step that changes A x by (A X X A') y, least as seen from x (k, n)."""
        found: Array = (self.rows.T @ multipliers.T).T * x * x
        return found


def resisted(system: System, still: Array, loads: Array, free: Sequence[Array | None], kinds: Sequence[str]) -> list[bool | None]:
    """Return for each load (k, 6 x bodies) whether the system can balance it on top of the `still` one.

    `free[k]` holds force columns (3, 6 x bodies) of any sign for that load alone. Once `ENOUGH` loads of one kind are known to be
    too much, those of that kind not yet decided stay None.
    """
    matrix, sides = system.matrix(), system.right_side(still + loads)
    done: Mask = np.zeros(len(sides), dtype=bool)
    start = _centre(matrix, system.right_side(still)[0])
    if start is not None:
        balance = Balance.of(matrix)
        done = _in_one_step(balance, start, sides, free)
        _walk(balance, start, sides, free, done)
    verdicts: list[bool | None] = [True if held else None for held in done.tolist()]
    failures = dict.fromkeys(kinds, 0)
    for k, verdict in enumerate(verdicts):
        if verdict is None and failures[kinds[k]] < ENOUGH:
            verdicts[k] = held = _solve(matrix, sides[k], free[k])
            failures[kinds[k]] += not held
    return verdicts


def _walk(balance: Balance, start: Array, sides: Array, free: Sequence[Array | None], done: Mask) -> None:
    """Mark in `done` what walks from `start` reach, a batch at a time; where each batch ends, look around for the rest."""
    count, width = balance.rows.shape
    batch = max(1, MOST_AT_ONCE // (count * width))
    lost = 0
    tried = done.copy()
    while not tried.all() and lost < LOST:
        left = np.flatnonzero(~tried)[:batch]
        tried[left] = True
        ends = _approach(balance, start, sides[left], [free[k] for k in left.tolist()])
        for k, end in zip(left.tolist(), ends, strict=True):
            done[k] = end is not None
            lost += end is None
        rest = np.flatnonzero(~tried)
        found = next((end for end in ends if end is not None), None)
        if len(rest) and found is not None:
            done[rest] = _in_one_step(balance, found, sides[rest], [free[k] for k in rest.tolist()])
            tried |= done


def _centre(matrix: Array, side: Array) -> Array | None:
    """Return a solution of A x = b well inside x > 0, None if there is none."""
    from scipy.optimize import linprog

    width = matrix.shape[1]
    # Every weight at least t, t as large as can be.
    spread = np.hstack([matrix, matrix.sum(axis=1, keepdims=True)])
    cost = np.zeros(width + 1)
    cost[-1] = -1.0
    found = linprog(cost, A_eq=sparse(spread), b_eq=side, bounds=(0, None), method="highs-ds")
    if found.status != 0 or found.x is None or found.x[-1] < 1e-6:
        return None
    x: Array = found.x[:-1] + found.x[-1]
    for _ in range(CENTRING_STEPS):
        scaled = matrix * x
        multipliers = np.linalg.lstsq(scaled @ scaled.T, matrix @ x, rcond=None)[0]
        step = x - x * (scaled.T @ multipliers)
        shrink = float((-step / x).max())
        x = x + min(1.0, 0.7 / max(shrink, 1e-12)) * step
        if shrink < 0.3:
            break
    return x


def _in_one_step(balance: Balance, start: Array, sides: Array, free: Sequence[Array | None]) -> Mask:
    """Return which right-hand sides the shortest step from `start`, scaled by it, reaches without leaving x > 0."""
    inverse = _inverse(balance.scaled(start[None, :]))[0]
    lacking = sides - balance.of_weights(start[None, :])
    for k, columns in enumerate(free):
        if columns is not None:
            lacking[k] = _relieved(lacking[k], columns, inverse)
    steps = balance.step(start, lacking @ inverse)
    reached: Mask = (start + steps > 0).all(axis=1) & _balanced(balance, steps, lacking)
    return reached


def _inverse(matrices: Array) -> Array:
    """Return the inverses of some symmetric matrices (k, r, r); the nearest there is of one that has none."""
    try:
        found: Array = np.asarray(np.linalg.inv(matrices), dtype=float)
    except np.linalg.LinAlgError:
        found = np.asarray(np.linalg.pinv(matrices, rcond=1e-14, hermitian=True), dtype=float)
    return found


def _relieved(lacking: Array, columns: Array, inverse: Array) -> Array:
    """Return what is lacking once forces of any sign along `columns` have taken what suits them, least in the scaled sense."""
    pad = np.zeros((len(columns), len(lacking)))
    pad[:, : columns.shape[1]] = columns
    weights = pad @ inverse
    taken = np.linalg.lstsq(weights @ pad.T, weights @ lacking, rcond=None)[0]
    left: Array = lacking - taken @ pad
    return left


def _approach(balance: Balance, start: Array, sides: Array, free: Sequence[Array | None]) -> list[Array | None]:
    """Return a positive solution for each right-hand side that is reached by walking from `start`, centring on the way.

    All walks go side by side. What is reached is certain; what is not (None) is undecided.
    """
    ends: list[Array | None] = [None] * len(sides)
    walking = np.arange(len(sides))
    x = np.tile(start, (len(sides), 1))
    for _ in range(APPROACH_STEPS):
        inverse = _inverse(balance.scaled(x))
        has = balance.of_weights(x)
        lacking = sides[walking] - has
        for place, k in enumerate(walking.tolist()):
            columns = free[k]
            if columns is not None:
                lacking[place] = _relieved(lacking[place], columns, inverse[place])
        plain = balance.step(x, (lacking[:, None, :] @ inverse)[:, 0])
        reached = (x + plain > 0).all(axis=1) & _balanced(balance, plain, lacking)
        centred = x + balance.step(x, ((lacking - has)[:, None, :] @ inverse)[:, 0])
        for place in np.flatnonzero(reached).tolist():
            ends[walking[place]] = x[place] + plain[place]
        shrink = np.maximum((-centred / x).max(axis=1), 1e-12)
        x = x + np.minimum(1.0, 0.8 / shrink)[:, None] * centred
        x, walking = x[~reached], walking[~reached]
        if not len(walking):
            break
    return ends


def _balanced(balance: Balance, step: Array, lacking: Array) -> Mask:
    left = np.abs(balance.of_weights(step) - lacking).max(axis=1)
    good: Mask = left <= BALANCE * (1 + np.abs(lacking).max(axis=1))
    return good


def sparse(matrix: Array) -> Any:
    """Return a matrix as the linear programmes like it."""
    return csr_array(matrix)


def _solve(matrix: Array, side: Array, free: Array | None) -> bool:
    """Return whether A x = b has a solution x >= 0, by linear programming."""
    from scipy.optimize import linprog

    full, cost = matrix, np.ones(matrix.shape[1])
    if free is not None:
        padded = np.hstack([free, np.zeros((len(free), matrix.shape[0] - free.shape[1]))]).T
        full = np.hstack([matrix, padded, -padded])
        cost = np.concatenate([cost, np.zeros(2 * len(free))])
    rows = sparse(full)
    found = linprog(cost, A_eq=rows, b_eq=side, bounds=(0, None), method="highs-ds")
    if found.status not in DECIDED:
        found = linprog(cost, A_eq=rows, b_eq=side, bounds=(0, None), method="highs-ipm")
    return bool(found.status == 0)
