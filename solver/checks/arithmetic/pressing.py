"""How hard contacts can push at once while all forces balance without friction: a linear programme.

Contacts that can only push and balance the loads with a push at every joint leave no motion that opens one without work against
the loads (Tucker's theorem of the alternative).
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from inventory.shapes import Array

ENOUGH_N = 1.0
"""A joint that is pushed by so much is pressed, N."""
OPTIMAL = 0


def least_push(columns: Array, load: Array, joints: Sequence[Sequence[int]]) -> float:
    """Return the greatest z up to `ENOUGH_N` with z N or more at every joint; -inf if the load cannot be balanced at all.

    `columns` (n, m) are pushes of 1 N, one each, `load` (m,) is what acts beside them, `joints` name columns by their places.
    """
    from scipy.optimize import linprog

    count = len(columns)
    balance = np.hstack([columns.T, np.zeros((len(load), 1))])
    short = np.zeros((len(joints), count + 1))
    for k, places in enumerate(joints):
        short[k, list(places)], short[k, count] = -1.0, 1.0
    cost = np.zeros(count + 1)
    cost[count] = -1.0
    bounds = [(0.0, None)] * count + [(0.0, ENOUGH_N)]
    found = linprog(cost, A_ub=short, b_ub=np.zeros(len(joints)), A_eq=balance, b_eq=-load, bounds=bounds, method="highs")
    return float(found.x[count]) if found.status == OPTIMAL and found.x is not None else -np.inf
