"""Weights >= 0 that balance a load, sought by exchanging columns: as many columns as rows are in use, other weights are 0.

A column with a weight below 0 gives way to one that its row can take the most of (the dual simplex method with no costs).
Weights found are put back into A x = b: a yes is certain however it was come by, and what is not found stays open.
"""

from __future__ import annotations

from typing import Any

import numpy as np
from scipy import linalg
from scipy.sparse import csc_array

from inventory.shapes import Array
from solver.checks.arithmetic.blocks import Mask

BALANCE = 1e-6
"""How far a row of A x may be from b, N."""
NONE = 1e-9
"""A weight no farther from 0 than this is 0."""
LEAST_ENTRY = 1e-7
"""A row takes a column in by no smaller entry than this."""
MOST_EXCHANGES = 300
"""Exchanges for one load after which it stays open."""
INVERT_AFTER = 50
"""Exchanges after which the inverse is computed again."""
FILL = 1e-6
"""Size of the columns that stand in where the rows are not independent; columns of forces are about 1."""


class Basis:
    """The columns in use and their inverse, (r, r) each; `filling` (r,) says which stand in for none: their weight must be 0."""

    def __init__(self, matrix: Array) -> None:
        count, width = matrix.shape
        full = np.hstack([matrix, FILL * np.eye(count)])
        chosen = linalg.qr(full, mode="r", pivoting=True)[1][:count]
        self._by_column: Any = csc_array(matrix)
        self._by_row: Any = self._by_column.T.tocsr()
        self._filling: Mask = chosen >= width
        self._used = full[:, chosen]
        self._invert()

    def turn_to(self, side: Array) -> bool:
        """Exchange columns until their weights balance a side (r,); return whether they came to do so."""
        weights = self._inverse @ side
        for _ in range(MOST_EXCHANGES):
            short = self._short(weights)
            row = int(short.argmin())
            if short[row] >= -NONE:
                return True
            sign = 1.0 if weights[row] < 0 else -1.0
            entries = sign * (self._by_row @ self._inverse[row])
            column = int(entries.argmin())
            if entries[column] > -LEAST_ENTRY:
                return False
            self._exchange(row, column, weights)
            if self._exchanges == INVERT_AFTER:
                self._invert()
                weights = self._inverse @ side
        return False

    def balances(self, sides: Array) -> Mask:
        """Return which sides (k, r) the columns in use balance."""
        weights = sides @ self._inverse.T
        good: Mask = self._short(weights).min(axis=1) >= -NONE
        weights[:, self._filling] = 0.0
        left = np.maximum(weights[good], 0.0) @ self._used.T - sides[good]
        good[good] = np.abs(left).max(axis=1, initial=0.0) <= BALANCE
        return good

    def _short(self, weights: Array) -> Array:
        """Return weights (..., r), below 0 where they are not what they may be."""
        return np.where(self._filling, -np.abs(FILL * weights), weights)

    def _exchange(self, row: int, column: int, weights: Array) -> None:
        span = slice(self._by_column.indptr[column], self._by_column.indptr[column + 1])
        places, values = self._by_column.indices[span], self._by_column.data[span]
        entering = self._inverse[:, places] @ values
        weight, of_row = weights[row] / entering[row], self._inverse[row] / entering[row]
        weights -= weight * entering
        weights[row] = weight
        self._inverse -= np.outer(entering, of_row)
        self._inverse[row] = of_row
        self._used[:, row] = 0.0
        self._used[places, row] = values
        self._filling[row] = False
        self._exchanges += 1

    def _invert(self) -> None:
        """Compute the inverse; the nearest there is if there is none."""
        self._exchanges = 0
        try:
            self._inverse = np.linalg.inv(self._used)
        except np.linalg.LinAlgError:
            self._inverse = np.linalg.pinv(self._used)
