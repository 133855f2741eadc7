"""Weights that balance a load, by exchange of columns: against a linear programme, and where rows depend on each other."""

from __future__ import annotations

import numpy as np
from scipy.optimize import nnls

from solver.checks.arithmetic.bases import Basis


def test_what_is_balanced_is_so_and_nearly_all_that_can_be_is_found() -> None:
    chance = np.random.default_rng(3)
    found = possible = 0
    for _ in range(40):
        matrix, side = chance.normal(size=(6, 14)), chance.normal(size=6)
        basis = Basis(matrix)
        can = bool(nnls(matrix, side)[1] < 1e-9)
        balanced = basis.turn_to(side) and bool(basis.balances(side[None])[0])
        assert can or not balanced
        found, possible = found + balanced, possible + int(can)
    assert 10 < possible < 40 and found >= possible - 1


def test_rows_that_depend_on_each_other_are_met_together_or_not_at_all() -> None:
    matrix = np.array([[1.0, 0, 2], [0, 1, 1], [1, 1, 3]])  # the third row is the sum of the others
    basis = Basis(matrix)
    assert basis.turn_to(np.array([2.0, 3, 5])) and basis.balances(np.array([[2.0, 3, 5], [2, 3, 5.1]])).tolist() == [True, False]
    assert not basis.turn_to(np.array([2.0, 3, 6]))
    assert not basis.turn_to(np.array([-1.0, 3, 2]))


def test_a_corner_that_balances_one_load_is_tried_on_others() -> None:
    basis = Basis(np.hstack([np.eye(2), -np.ones((2, 1))]))
    assert basis.turn_to(np.array([1.0, 2.0]))
    assert basis.balances(np.array([[3.0, 0.5], [-1.0, 2.0]])).tolist() == [True, False]
