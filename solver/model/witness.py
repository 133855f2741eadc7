"""The independent witness: a program solved once more, by HiGHS instead of CP-SAT.

In words: rows, cliques and objective go to a solver of another make (linear relaxation and branching instead of clauses), with
no gap allowed. What it returns is rounded and put into the rows in whole numbers: a solution that breaks one is no evidence.
Two solvers of one program share its rows, so the witness speaks for the proof, not for the rows; those answer to the checker.
"""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

import numpy as np
from scipy.sparse import csr_array

from solver.model.cpsat import Verdict
from solver.model.program import INFINITE, Program, Row

if TYPE_CHECKING:
    from scipy.optimize import LinearConstraint

INFEASIBLE, LIMIT, SOLVED, UNCLEAR = 2, 1, 0, 4


def witness(program: Program, seconds: float) -> tuple[Verdict, int | None]:
    """Return HiGHS's verdict on a program and, if it is optimal, the optimum.

    Parameters
    ----------
    seconds : float
        Wall clock it may take, s; 0 or less returns `unknown` at once.
    """
    from scipy.optimize import Bounds, milp

    if seconds <= 0:
        return "unknown", None
    count = len(program.low)
    if count == 0:
        return _without_variables(program)
    cost = np.zeros(count)
    for variable, coefficient in program.objective.items():
        cost[variable] = coefficient
    rows = [*program.rows, *(Row(tuple((k, 1) for k in clique), 0, 1, "clique") for clique in program.cliques)]
    for presolve in (True, False):
        result = milp(
            cost, integrality=np.ones(count, dtype=np.intp), bounds=Bounds(program.low, program.high),
            constraints=_constraints(rows, count),
            options={"time_limit": seconds, "mip_rel_gap": 0.0, "presolve": presolve},
        )  # fmt: skip
        if result.status == INFEASIBLE:
            return "infeasible", None
        if result.status != UNCLEAR:
            break
    if result.status != SOLVED or result.x is None:
        return "unknown", None
    values = [round(float(value)) for value in result.x]
    if not satisfied(program, values):
        return "unknown", None
    return "optimal", program.value(values)


def feasible(program: Program, seconds: float) -> Verdict:
    """Return whether any solution exists at all, `optimal` for yes: the objective is left out."""
    return witness(replace(program, objective={}), seconds)[0]


def satisfied(program: Program, values: list[int]) -> bool:
    """Return whether whole numbers keep every bound, row and clique exactly."""
    return (
        all(low <= value <= high for low, value, high in zip(program.low, values, program.high, strict=True))
        and all(row.low <= sum(c * values[k] for k, c in row.terms) <= row.high for row in program.rows)
        and all(sum(values[k] for k in clique) <= 1 for clique in program.cliques)
    )


def _constraints(rows: list[Row], count: int) -> list[LinearConstraint]:
    from scipy.optimize import LinearConstraint

    if not rows:
        return []
    lengths = [len(row.terms) for row in rows]
    entries = np.array([term for row in rows for term in row.terms], dtype=float).reshape(-1, 2)
    where = (np.repeat(np.arange(len(rows)), lengths), entries[:, 0].astype(np.intp))
    matrix = csr_array((entries[:, 1], where), shape=(len(rows), count))
    return [LinearConstraint(matrix, [_finite(row.low) for row in rows], [_finite(row.high) for row in rows])]


def _finite(bound: int) -> float:
    return float(bound) if abs(bound) < INFINITE else float(np.copysign(np.inf, bound))


def _without_variables(program: Program) -> tuple[Verdict, int | None]:
    return ("optimal", program.constant) if satisfied(program, []) else ("infeasible", None)
