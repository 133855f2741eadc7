"""A quick, exact yes by pivoting: a load that a few contact forces balance, and what else those same few balance.

A corner is a choice of as many force columns as there are rows: the inverse of their matrix turns a right side into those
forces, all others none. Where they come out non-negative the load is held, and they are the proof. Where one does not, it
leaves for the column that its row takes most of (the dual simplex method with no costs; Lemke 1954, source not checked),
until all push or none can be taken. Pushes on one part mostly ask the same corner, so every corner that is reached is tried
on all of them at once. What is not shown here must be asked of the exact program.
"""

from __future__ import annotations

import copy

import numpy as np
from scipy import sparse

from inventory.shapes import Array
from solver.statics.balance import Balance
from solver.statics.contacts import Index, Mask
from solver.statics.program import IMBALANCE_N

PUSHES_N = 1e-9
"""A force is none that is less than this far below none."""
PIVOT = 1e-7
"""A column that a row takes less of is not pulled in."""
FRESH = 60
"""So many pivots after which the inverse is computed anew."""
PIVOTS_A_ROW = 4
"""So many pivots for every row after which no corner is looked for any more."""


class Corners:
    """The load cases of one system: `held` shows that one is balanced when enlarged, and remembers what it saw of others.

    Parameters
    ----------
    system : Balance
    rows, values : (N, 12)
        Loads besides gravity, as `Balance.load_rows` gives them.
    """

    def __init__(self, system: Balance, rows: Index, values: Array) -> None:
        self._rows, self._values = rows, values
        self._still = system.still
        self._shown = np.zeros(len(rows))
        self._like = np.unique(rows[:, ::6], axis=0, return_inverse=True)[1].ravel()
        self._first = _Corner(system)
        self._first.reach(self._still)
        self._corners: dict[int, _Corner] = {}

    def held(self, index: int, factor: float = 1.0) -> bool:
        """Return whether gravity, clamps and `factor` times a case's load are shown to be balanced."""
        if self._shown[index] < factor:
            corner = self._corner(int(self._like[index]))
            if corner.reach(self._rights(np.array([index]), factor)[0]):
                like = np.flatnonzero((self._like == self._like[index]) & (self._shown < factor))
                self._shown[like[corner.balances(self._rights(like, factor))]] = factor
        return bool(self._shown[index] >= factor)

    def _corner(self, like: int) -> _Corner:
        """Return the corner last reached for cases that load the same parts, at first the one that balances no load."""
        if like not in self._corners:
            self._corners[like] = self._first.copy()
        return self._corners[like]

    def _rights(self, like: Index, factor: float) -> Array:
        """Return what forces and slacks must come to in some cases, (k, m)."""
        loads = np.zeros((len(like), len(self._still)))
        np.add.at(loads, (np.arange(len(like))[:, None], self._rows[like]), factor * self._values[like])
        return self._still - loads


class _Corner:
    """The columns in use, as their matrix and its inverse (m, m).

    At first these are an imbalance in every balance row, `missing` (m,) a column, and the slack of every limit. An imbalance
    must come out as none.
    """

    def __init__(self, system: Balance) -> None:
        self._by_column = sparse.csr_array(system.equations.T)
        self._balance_rows, self._size = system.rows, self._by_column.shape[1]
        self._begin()

    def copy(self) -> _Corner:
        """Return the same corner, to go on from."""
        twin = copy.copy(self)
        twin._missing, twin._matrix, twin._inverse = self._missing.copy(), self._matrix.copy(), self._inverse.copy()
        return twin

    def _begin(self) -> None:
        self._missing = np.arange(self._size) < self._balance_rows
        self._matrix: Array = np.eye(self._size)
        self._inverse: Array = np.eye(self._size)
        self._pivots = 0

    def reach(self, right: Array) -> bool:
        """Pivot until the columns in use balance a right side (m,) by pushing; return whether they do."""
        forces = self._inverse @ right
        for _ in range(PIVOTS_A_ROW * self._size):
            row = self._worst(forces)
            if row is None:
                return True
            taken = self._by_column @ self._inverse[row]
            column = int(taken.argmin() if forces[row] < 0 else taken.argmax())
            if abs(taken[column]) < PIVOT or taken[column] * forces[row] < 0:
                return False
            self._pull_in(column, row, forces)
            if self._pivots == FRESH:
                if not self._renew():
                    return False
                forces = self._inverse @ right
        return False

    def balances(self, rights: Array) -> Mask:
        """Return which right sides (k, m) the columns in use balance by pushing."""
        forces = rights @ self._inverse.T
        pushing = np.where(self._missing, -np.abs(forces), forces).min(axis=1) >= -PUSHES_N
        forces[:, self._missing] = 0.0
        balanced = np.abs(np.maximum(forces[pushing], 0.0) @ self._matrix.T - rights[pushing]).sum(axis=1) <= IMBALANCE_N
        found: Mask = pushing
        found[pushing] = balanced
        return found

    def _worst(self, forces: Array) -> int | None:
        """Return the row of the force that is farthest from what it may be, None if all are what they may be."""
        off = np.where(self._missing, np.abs(forces), -forces)
        row = int(off.argmax())
        return row if off[row] > PUSHES_N else None

    def _pull_in(self, column: int, row: int, forces: Array) -> None:
        """Put a column in the place of a row's, and update forces and inverse."""
        entries = slice(self._by_column.indptr[column], self._by_column.indptr[column + 1])
        rows, values = self._by_column.indices[entries], self._by_column.data[entries]
        self._matrix[:, row] = 0.0
        self._matrix[rows, row] = values
        along = self._inverse[:, rows] @ values
        own = self._inverse[row] / along[row]
        force = forces[row] / along[row]
        forces -= force * along
        forces[row] = force
        self._inverse -= along[:, None] * own
        self._inverse[row] = own
        self._missing[row] = False
        self._pivots += 1

    def _renew(self) -> bool:
        """Compute the inverse anew; return whether there is one: where there is none, all begins again."""
        self._pivots = 0
        try:
            self._inverse = np.asarray(np.linalg.inv(self._matrix), dtype=float)
        except np.linalg.LinAlgError:
            self._begin()
            return False
        return True
