"""The exact linear program behind "held", kept warm from one load case to the next.

Minimise the total imbalance (N) over admissible forces. Zero: the case is held. Otherwise the rows' duals are a twist
per part that proves it is not. Only right sides change between cases, so the dual simplex restarts from the last basis
and needs a pivot or two.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import highspy
import numpy as np
from scipy import sparse

from inventory.errors import HoldwrightError
from inventory.shapes import Array
from solver.statics.balance import Balance

IMBALANCE_N = 1e-6


class StaticsUndecided(HoldwrightError):
    """The linear program of a load case came back without an answer."""


@dataclass(frozen=True, slots=True)
class BalanceSolution:
    """Least total imbalance, N; the forces that reach it; a twist (rows,) proving that less is impossible."""

    imbalance_n: float
    forces: Array
    twist: Array

    @property
    def held(self) -> bool:
        """Whether the case is in balance."""
        return self.imbalance_n <= IMBALANCE_N


class QuietSolver(highspy.Highs):
    """One thread, no presolve (a warm basis is worth more), no output.

    Its callbacks are left out: setting them up prints a banner before any option can silence it.
    """

    def __init__(self) -> None:
        super().__init__()  # type: ignore[no-untyped-call]
        for option, value in (("output_flag", False), ("threads", 1), ("presolve", "off"), ("solver", "simplex")):
            self.setOptionValue(option, value)

    def enableCallbacks(self) -> None:
        """Set up none."""


def linear_program(matrix: sparse.csc_array, cost: Array, row_lower: Array, row_upper: Array) -> QuietSolver:
    """Return a solver loaded with: least cost.x over x >= 0 with row_lower <= matrix x <= row_upper."""
    program = highspy.HighsLp()
    columns = matrix.shape[1]
    program.num_col_, program.num_row_ = columns, matrix.shape[0]
    program.col_cost_ = cost
    program.col_lower_, program.col_upper_ = np.zeros(columns), np.full(columns, highspy.kHighsInf)
    program.row_lower_, program.row_upper_ = row_lower, row_upper
    program.a_matrix_.format_ = highspy.MatrixFormat.kColwise
    program.a_matrix_.start_, program.a_matrix_.index_, program.a_matrix_.value_ = matrix.indptr, matrix.indices, matrix.data
    solver = QuietSolver()
    solver.passModel(program)
    return solver


def solved(solver: Any, right: Array, root: Array | None) -> tuple[Array, Array]:
    """Return (x, row duals) with the first rows equal to `right`, restarting from the last basis.

    Parameters
    ----------
    solver : QuietSolver
        From `linear_program`.
    right : (rows,)
        Both bounds of the first rows.
    root : (rows, 3) or None
        Columns of a free force at a tack's root, added for this solve only.

    Raises
    ------
    StaticsUndecided
        If there is no optimum, warm or from scratch.
    """
    count = len(right)
    solver.changeRowsBounds(count, np.arange(count, dtype=np.int32), right, right)
    if root is not None:
        free, infinite = sparse.csc_array(root), np.full(3, highspy.kHighsInf)
        solver.addCols(3, np.zeros(3), -infinite, infinite, free.nnz, free.indptr, free.indices, free.data)
    solver.run()
    if solver.getModelStatus() != highspy.HighsModelStatus.kOptimal:
        solver.clearSolver()
        solver.run()
    status, solution = solver.getModelStatus(), solver.getSolution()
    found, duals = np.array(solution.col_value), np.array(solution.row_dual)
    if root is not None:
        solver.deleteCols(3, np.arange(solver.getNumCol() - 3, solver.getNumCol(), dtype=np.int32))
    if status != highspy.HighsModelStatus.kOptimal:
        raise StaticsUndecided(f"the balance of forces came back {solver.modelStatusToString(status)}")
    return found, duals


class WarmProgram:
    """One contact system's program of least imbalance; `solve` answers load cases one after the other."""

    def __init__(self, system: Balance) -> None:
        self._system = system
        self._forces, self._rows = system.forces, system.rows
        limits = len(system.limit_n)
        eye = sparse.eye_array(system.rows)
        top = sparse.hstack([system.wrenches, eye, -eye])
        bottom = sparse.hstack([system.limits, sparse.csc_array((limits, 2 * system.rows))])
        cost = np.concatenate([np.zeros(self._forces), np.ones(2 * system.rows)])
        lower = np.concatenate([np.zeros(system.rows), np.full(limits, -highspy.kHighsInf)])
        upper = np.concatenate([np.zeros(system.rows), system.limit_n])
        self._solver = linear_program(sparse.csc_array(sparse.vstack([top, bottom])), cost, lower, upper)

    def solve(self, loads: Array, root: Array | None = None) -> BalanceSolution:
        """Return the answer for one load case.

        Parameters
        ----------
        loads : (rows,)
            Gravity plus the case's loads, as `Balance.loads` gives them.
        root : (rows, 3), optional
            Wrench columns of a free force at a tack's root.
        """
        found, duals = solved(self._solver, -(self._system.known + loads), root)
        imbalance = float(found[self._forces : self._forces + 2 * self._rows].sum())
        return BalanceSolution(imbalance, found[: self._forces], duals[: self._rows])
