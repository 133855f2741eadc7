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
    matrix = system.equations()
    centred = _centre(matrix, system.still)
    if centred is None:
        return None
    forces, factor = centred
    back = matrix.T.tocsr()
    # Per unit of load in each balance row: the share of its centred force that each contact loses.
    response = linalg.cho_solve(factor, np.eye(matrix.shape[0])[:, : system.rows])
    if np.abs(matrix @ (np.square(forces)[:, None] * (back @ response)) - np.eye(matrix.shape[0])[:, : system.rows]).max() > 1e-9:
        return None
    lost = forces[:, None] * (back @ response)
    worst = np.zeros(len(rows))
    pairs, which = np.unique(rows[:, ::6], axis=0, return_inverse=True)
    for pair, (first, second) in enumerate(pairs):
        mine = np.flatnonzero(which == pair)
        share = lost[:, first : first + 6] @ values[mine, :6].T
        if np.any(values[mine, 6:]):
            share += lost[:, second : second + 6] @ values[mine, 6:].T
        worst[mine] = share.max(axis=0)
    return worst


def _centre(matrix: sparse.csr_array, right: Array) -> tuple[Array, tuple[Array, bool]] | None:
    """Return forces > 0 with matrix x = right near the analytic centre, and the Cholesky factor of W D W'."""
    forces = np.full(matrix.shape[1], FIRST_GUESS_N)
    for _ in range(NEWTON_STEPS):
        factor = _factor(matrix, forces)
        if factor is None:
            return None
        gap = right - matrix @ forces
        step = forces + np.square(forces) * (matrix.T @ linalg.cho_solve(factor, gap - matrix @ forces))
        shrink = -(step / forces).min()
        length = min(1.0, 0.9 / shrink) if shrink > 0 else 1.0
        forces = forces + length * step
        if length == 1.0 and np.abs(step / forces).max() < 0.5:
            break
    factor = _factor(matrix, forces)
    if factor is None:
        return None
    gap = right - matrix @ forces
    forces = forces + np.square(forces) * (matrix.T @ linalg.cho_solve(factor, gap))
    if forces.min() <= 0 or np.abs(right - matrix @ forces).max() > RESIDUAL_N:
        return None
    factor = _factor(matrix, forces)
    return None if factor is None else (forces, factor)


def _factor(matrix: sparse.csr_array, forces: Array) -> tuple[Array, bool] | None:
    scaled = matrix.multiply(forces[None, :]).tocsr()
    square = (scaled @ scaled.T).toarray()
    try:
        return linalg.cho_factor(square)
    except linalg.LinAlgError:
        return None
