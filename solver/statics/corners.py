"""A quick, exact yes by pivoting: a load that a few contact forces balance, and what else those same few balance.

A corner is a choice of as many force columns as there are rows: `inverse` turns a right side into those forces, all others
none. Where they come out non-negative the load is held, and they are the proof. Where one does not, it leaves for the column
that its row can pull in (the dual simplex method with no costs: Lemke 1954), until all push or none can be pulled in. Pushes
on one part mostly ask the same corner, so every corner that is reached is tried on all of them at once. What is not shown
here must be asked of the exact program.
"""

from __future__ import annotations

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
NO_COLUMN = -1


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
        self._corner = _Corner(system)

    def held(self, index: int, factor: float = 1.0) -> bool:
        """Return whether gravity, clamps and `factor` times a case's load are shown to be balanced."""
        if self._shown[index] < factor and self._corner.reach(self._right(index, factor)):
            like = np.flatnonzero((self._like == self._like[index]) & (self._shown < factor))
            self._shown[like[self._balanced(like, factor)]] = factor
        return bool(self._shown[index] >= factor)

    def _right(self, index: int, factor: float) -> Array:
        right = self._still.copy()
        np.subtract.at(right, self._rows[index], factor * self._values[index])
        return right

    def _balanced(self, like: Index, factor: float) -> Mask:
        """Return which cases of one row pattern the corner balances."""
        loads = np.zeros((len(like), len(self._still)))
        np.add.at(loads, (np.arange(len(like))[:, None], self._rows[like]), factor * self._values[like])
        return self._corner.balances(self._still - loads)


class _Corner:
    """The columns in use, `basic` (m,), their matrix and its inverse (m, m).

    It starts with an imbalance in every balance row, which must be none, and the slack of every limit.
    """

    def __init__(self, system: Balance) -> None:
        self._by_column = sparse.csr_array(system.equations.T)
        count, self._size = self._by_column.shape
        self._basic = np.full(self._size, NO_COLUMN)
        limits = self._size - system.rows
        self._basic[system.rows :] = np.arange(count - limits, count)
        self._matrix = np.eye(self._size)
        self._inverse = np.eye(self._size)
        self._pivots = 0

    def reach(self, right: Array) -> bool:
        """Pivot until the columns in use balance a right side (m,) by pushing; return whether they do."""
        forces = self._inverse @ right
        for _ in range(2 * self._size + 100):
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
        missing = self._basic == NO_COLUMN
        pushing = np.where(missing, -np.abs(forces), forces).min(axis=1) >= -PUSHES_N
        forces[:, missing] = 0.0
        balanced = np.abs(np.maximum(forces[pushing], 0.0) @ self._matrix.T - rights[pushing]).sum(axis=1) <= IMBALANCE_N
        pushing[pushing] = balanced
        found: Mask = pushing
        return found

    def _worst(self, forces: Array) -> int | None:
        """Return the row of the force that is farthest from what it may be, None if all are what they may be."""
        off = np.where(self._basic == NO_COLUMN, np.abs(forces), -forces)
        off[off <= PUSHES_N] = 0.0
        far = np.square(off) / np.einsum("ij,ij->i", self._inverse, self._inverse)
        row = int(far.argmax())
        return row if far[row] > 0 else None

    def _pull_in(self, column: int, row: int, forces: Array) -> None:
        """Put a column in the place of a row's, and update forces and inverse."""
        self._matrix[:, row] = self._column(column)
        along = self._inverse @ self._matrix[:, row]
        own = self._inverse[row] / along[row]
        force = forces[row] / along[row]
        forces -= force * along
        forces[row] = force
        self._inverse -= np.outer(along, own)
        self._inverse[row] = own
        self._basic[row] = column
        self._pivots += 1

    def _renew(self) -> bool:
        self._pivots = 0
        try:
            self._inverse = np.linalg.inv(self._matrix)
        except np.linalg.LinAlgError:
            return False
        return True

    def _column(self, column: int) -> Array:
        found = np.zeros(self._size)
        entries = slice(self._by_column.indptr[column], self._by_column.indptr[column + 1])
        found[self._by_column.indices[entries]] = self._by_column.data[entries]
        return found
