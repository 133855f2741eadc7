"""How far a locator must give under its reaction: the least largest deflection that balance allows, case by case.

Reactions of a fixture with friction are not unique. What is certain is a lower figure: no state of forces that balances
the case loads every locator less than this. It is the value of the finding beside `stack.deflection_max`, whose cap the
equilibrium itself already keeps. Stiffnesses of a stack act in series (see `Stack.stiffness`).
"""

from __future__ import annotations

from dataclasses import dataclass

import highspy
import numpy as np
from scipy import sparse

from inventory.shapes import Array
from solver.statics.balance import Balance, balance
from solver.statics.contacts import UNCAPPED, ContactSystem
from solver.statics.loads import CaseName, LoadCases
from solver.statics.program import QuietSolver, StaticsUndecided, linear_program, solved
from solver.statics.questions import root_columns


@dataclass(frozen=True, slots=True)
class Deflection:
    """The worst case's least largest deflection, mm.

    `largest_n` is each locator's largest reaction over all cases, each case in the state that loads its locators least, N by
    group.
    """

    worst_mm: float
    case: CaseName
    largest_n: Array


def least_deflection(contact_system: ContactSystem, cases: LoadCases, stiffness_n_per_mm: Array) -> Deflection:
    """Return the worst over load cases of the least largest deflection of any locator.

    Parameters
    ----------
    contact_system : ContactSystem
        Everything is held; every locator of interest has a group.
    cases : LoadCases
    stiffness_n_per_mm : (G,)
        Stack stiffness behind each group's contact.

    Raises
    ------
    StaticsUndecided
        If a case has no balance at all: it is not held.
    """
    system = balance(contact_system)
    rows, values = system.load_rows(cases)
    capped = np.flatnonzero(contact_system.contacts.group != UNCAPPED)
    present = np.unique(contact_system.contacts.group[capped])
    solver = _program(system, stiffness_n_per_mm[present])
    forces = system.forces
    worst, which, largest = -1.0, 0, np.zeros(len(contact_system.contacts.caps_n))
    for case in range(len(cases)):
        loads = system.loads(rows[case : case + 1], values[case : case + 1])[0]
        joined = not np.isnan(cases.root[case, 0])
        try:
            found, _ = solved(solver, -(system.known + loads), root_columns(system, cases, case) if joined else None)
        except StaticsUndecided as fault:
            raise StaticsUndecided(f"{cases.names[case].text()}: no balance of forces, so no deflection") from fault
        pushed = system.limits[: len(present)] @ found[:forces]
        largest[present] = np.maximum(largest[present], pushed)
        if found[forces] > worst + 1e-12:
            worst, which = float(found[forces]), case
    return Deflection(worst, cases.names[which], largest)


def _program(system: Balance, stiffness: Array) -> QuietSolver:
    """Return the program: least t with normals(group) <= stiffness t, every other row as in the balance."""
    groups, rows, limits = len(stiffness), system.rows, len(system.limit_n)
    top = sparse.hstack([system.wrenches, sparse.csc_array((rows, 1))])
    capped = sparse.hstack([system.limits, sparse.csc_array((limits, 1))])
    follow = sparse.hstack([system.limits[:groups], sparse.csc_array(-stiffness[:, None])])
    matrix = sparse.csc_array(sparse.vstack([top, capped, follow]))
    lower = np.concatenate([np.zeros(rows), np.full(limits + groups, -highspy.kHighsInf)])
    upper = np.concatenate([np.zeros(rows), system.limit_n, np.zeros(groups)])
    return linear_program(matrix, np.append(np.zeros(matrix.shape[1] - 1), 1.0), lower, upper)
