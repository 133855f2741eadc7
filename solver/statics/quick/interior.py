"""A quick, exact yes: many load cases shown to be held at once from one well-centred state of forces.

Find strictly positive forces x0 that balance gravity and clamps (a few Newton steps towards the analytic centre), then
answer every load case by the least change measured in units of x0: x = x0 + D W'(W D W')^-1 r with D = diag(x0^2).
Every x that comes out non-negative is itself the proof that the case is held; the rest must be asked of the exact
program. The method is the first step of an interior-point method (Dikin's ellipsoid, 1967; source not checked).
"""

from __future__ import annotations

import numpy as np
from scipy import linalg, sparse

from inventory.shapes import Array
from solver.statics.balance import Balance
from solver.statics.contacts import Index

NEWTON_STEPS = 14
FIRST_GUESS_N = 50.0
RESIDUAL_N = 1e-6
SOLVED = 1e-9
"""The response to a load may miss it by so much of it."""


def contact_loss(system: Balance, rows: Index, values: Array) -> Array | None:
    """Return how far each case is from losing a contact, (N,): below 1 = held for sure, above = not shown.

    Parameters
    ----------
    system : Balance
    rows, values : (N, 12)
        Loads besides gravity, as `Balance.load_rows` gives them.

    Returns
    -------
    array or None
        The largest share of its centred force that any contact loses; None if gravity alone has no strictly positive
        state of forces (then nothing is shown either way).
    """
    matrix, back = system.equations, sparse.csr_array(system.equations.T)
    centred = _centre(matrix, back, system.still)
    if centred is None:
        return None
    forces, factor = centred
    # Per unit of load in each balance row: the share of its centred force that each contact loses.
    loads = np.eye(matrix.shape[0])[:, : system.rows]
    lost = forces[:, None] * (back @ linalg.cho_solve(factor, loads, check_finite=False))
    if np.abs(matrix @ (forces[:, None] * lost) - loads).max() > SOLVED:
        return None
    worst = np.zeros(len(rows))
    pairs, which = np.unique(rows[:, ::6], axis=0, return_inverse=True)
    for pair, (first, second) in enumerate(pairs):
        mine = np.flatnonzero(which == pair)
        share = lost[:, first : first + 6] @ values[mine, :6].T
        if np.any(values[mine, 6:]):
            share += lost[:, second : second + 6] @ values[mine, 6:].T
        worst[mine] = share.max(axis=0)
    return worst


def _centre(matrix: sparse.csr_array, back: sparse.csr_array, right: Array) -> tuple[Array, tuple[Array, bool]] | None:
    """Return forces > 0 with matrix x = right near the analytic centre, and the Cholesky factor of W D W'; `back` is W'."""
    forces = np.full(matrix.shape[1], FIRST_GUESS_N)
    square = _Square(matrix)
    for _ in range(NEWTON_STEPS):
        factor = square.factor(forces)
        if factor is None:
            return None
        gap = right - matrix @ forces
        step = forces + np.square(forces) * (back @ linalg.cho_solve(factor, gap - matrix @ forces, check_finite=False))
        shrink = -(step / forces).min()
        length = min(1.0, 0.9 / shrink) if shrink > 0 else 1.0
        forces = forces + length * step
        if length == 1.0 and np.abs(step / forces).max() < 0.5:
            break
    factor = square.factor(forces)
    if factor is None:
        return None
    gap = right - matrix @ forces
    forces = forces + np.square(forces) * (back @ linalg.cho_solve(factor, gap, check_finite=False))
    if forces.min() <= 0 or np.abs(right - matrix @ forces).max() > RESIDUAL_N:
        return None
    factor = square.factor(forces)
    return None if factor is None else (forces, factor)


class _Square:
    """W D W' for one W and many D: the products of every two entries of a column are taken once.

    `product` (K,) is weighted by `column`'s entry of D and added up in `cell` of the lower triangle.
    """

    def __init__(self, matrix: sparse.csr_array) -> None:
        by_column = sparse.csc_array(matrix)
        by_column.sort_indices()
        self._size = by_column.shape[0]
        held = np.diff(by_column.indptr)
        place = np.arange(by_column.nnz) - np.repeat(by_column.indptr[:-1], held)
        lower = np.repeat(np.arange(by_column.nnz), place + 1)
        upper = np.arange(len(lower)) - np.repeat(np.cumsum(place + 1) - (place + 1), place + 1) + (lower - place[lower])
        self._column = np.repeat(np.arange(len(held)), held)[lower]
        self._product = by_column.data[lower] * by_column.data[upper]
        self._cell = by_column.indices[lower].astype(np.intp) * self._size + by_column.indices[upper]

    def factor(self, forces: Array) -> tuple[Array, bool] | None:
        """Return the Cholesky factor for D = diag(forces^2), None if there is none."""
        weighted = self._product * np.square(forces)[self._column]
        square = np.bincount(self._cell, weighted, self._size**2).reshape(self._size, self._size)
        try:
            factor, lower = linalg.cho_factor(square, lower=True, check_finite=False)
        except linalg.LinAlgError:
            return None
        return (factor, lower) if np.isfinite(factor.diagonal()).all() else None
