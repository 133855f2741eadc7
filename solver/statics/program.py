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
class Answer:
    """Least total imbalance, N; the forces that reach it; a twist (rows,) proving that less is impossible."""

    imbalance_n: float
    forces: Array
    twist: Array

    @property
    def held(self) -> bool:
        """Whether the case is in balance."""
        return self.imbalance_n <= IMBALANCE_N


class _QuietSolver(highspy.Highs):
    """The solver without its callbacks: setting them up prints a banner before any option can silence it."""

    def __init__(self) -> None:
        super().__init__()  # type: ignore[no-untyped-call]

    def enableCallbacks(self) -> None:
        """Set up none."""


class WarmProgram:
    """One assembly's program; `solve` answers load cases one after the other.

    Parameters
    ----------
    system : Balance
        Rows and columns; its loads come with each case.
    """

    def __init__(self, system: Balance) -> None:
        self._system = system
        self._forces = system.wrenches.shape[1]
        self._rows, self._limits = system.rows, len(system.limit_n)
        eye = sparse.eye_array(system.rows)
        top = sparse.hstack([system.wrenches, eye, -eye])
        bottom = sparse.hstack([system.limits, sparse.csc_array((self._limits, 2 * system.rows))])
        matrix = sparse.csc_array(sparse.vstack([top, bottom]))
        columns = matrix.shape[1]
        program = highspy.HighsLp()
        program.num_col_, program.num_row_ = columns, matrix.shape[0]
        program.col_cost_ = np.concatenate([np.zeros(self._forces), np.ones(2 * system.rows)])
        program.col_lower_, program.col_upper_ = np.zeros(columns), np.full(columns, highspy.kHighsInf)
        program.row_lower_ = np.concatenate([np.zeros(system.rows), np.full(self._limits, -highspy.kHighsInf)])
        program.row_upper_ = np.concatenate([np.zeros(system.rows), system.limit_n])
        program.a_matrix_.format_ = highspy.MatrixFormat.kColwise
        program.a_matrix_.start_ = matrix.indptr
        program.a_matrix_.index_ = matrix.indices
        program.a_matrix_.value_ = matrix.data
        self._solver: Any = _QuietSolver()
        for option, value in (("output_flag", False), ("threads", 1), ("presolve", "off"), ("solver", "simplex")):
            self._solver.setOptionValue(option, value)
        self._solver.passModel(program)
        self._index = np.arange(system.rows, dtype=np.int32)

    def solve(self, loads: Array, root: Array | None = None) -> Answer:
        """Return the answer for one load case.

        Parameters
        ----------
        loads : (rows,)
            Gravity plus the case's loads, as `Balance.loads` gives them.
        root : (rows, 3), optional
            Wrench columns of a free force at a tack's root, added for this case only.
        """
        right = -(self._system.known + loads)
        self._solver.changeRowsBounds(self._rows, self._index, right, right)
        if root is not None:
            self._free(root)
        self._solver.run()
        if self._solver.getModelStatus() != highspy.HighsModelStatus.kOptimal:
            self._solver.clearSolver()
            self._solver.run()
        status = self._solver.getModelStatus()
        solution = self._solver.getSolution()
        found = np.array(solution.col_value)
        twist = np.array(solution.row_dual)[: self._rows]
        if root is not None:
            self._solver.deleteCols(3, np.arange(len(found) - 3, len(found), dtype=np.int32))
        if status != highspy.HighsModelStatus.kOptimal:
            raise StaticsUndecided(f"the balance of forces came back {self._solver.modelStatusToString(status)}")
        imbalance = float(found[self._forces : self._forces + 2 * self._rows].sum())
        return Answer(imbalance, found[: self._forces], twist)

    def _free(self, root: Array) -> None:
        columns = sparse.csc_array(root)
        infinite = np.full(3, highspy.kHighsInf)
        self._solver.addCols(3, np.zeros(3), -infinite, infinite, columns.nnz, columns.indptr, columns.indices, columns.data)
