"""Load cases asked of one contact system: of its corners first, which say most yes, then of the exact program."""

from __future__ import annotations

from functools import cached_property

import numpy as np

from inventory.shapes import Array
from solver.statics.balance import Balance, balance
from solver.statics.contacts import ContactSystem, cross
from solver.statics.loads import LoadCases
from solver.statics.program import BalanceSolution, WarmProgram
from solver.statics.quick.corners import Corners
from solver.statics.quick.interior import contact_loss


class Questions:
    """Whether gravity, clamps and a case's own load, enlarged by a factor, are in balance.

    `system` is the balance asked, `rows` and `values` (N, 12) the loads besides gravity as `Balance.load_rows` gives them.
    """

    def __init__(self, contact_system: ContactSystem, cases: LoadCases) -> None:
        self.system, self.cases = balance(contact_system), cases
        self.rows, self.values = self.system.load_rows(cases)

    def shown(self, index: int, factor: float = 1.0) -> bool:
        """Return whether a case is shown to be held without a program."""
        return self._corners.held(index, factor)

    def solve(self, index: int, factor: float = 1.0) -> BalanceSolution:
        """Return the exact program's answer.

        Raises
        ------
        StaticsUndecided
            If it returns none.
        """
        loads = self.system.loads(self.rows[index : index + 1], factor * self.values[index : index + 1])[0]
        return self._program.solve(loads, self.root(index))

    def held(self, index: int, factor: float = 1.0) -> bool:
        """Return whether a case is held, one way or the other."""
        return self.shown(index, factor) or self.solve(index, factor).held

    def losses(self) -> Array | None:
        """Return how far each case is from losing a contact, see `contact_loss`."""
        return contact_loss(self.system, self.rows, self._straight)

    def root(self, index: int) -> Array | None:
        """Return the wrenches of a case's free force at a tack's root, see `root_columns`; None if it has none."""
        return None if np.isnan(self.cases.root[index, 0]) else root_columns(self.system, self.cases, index)

    @cached_property
    def _straight(self) -> Array:
        return root_taken(self.system, self.cases, self.values)

    @cached_property
    def _corners(self) -> Corners:
        return Corners(self.system, self.rows, self._straight)

    @cached_property
    def _program(self) -> WarmProgram:
        return WarmProgram(self.system)


def root_columns(system: Balance, cases: LoadCases, index: int) -> Array:
    """Return the wrenches of a unit force at the root along x, y, z on the first part and against the second, (rows, 3)."""
    columns = np.zeros((system.rows, 3))
    for part, sign in zip(cases.part[index], (1.0, -1.0), strict=True):
        lever = cases.root[index] - system.centres[part]
        columns[6 * part : 6 * part + 3] += sign * np.eye(3)
        columns[6 * part + 3 : 6 * part + 6] += sign * np.cross(lever, np.eye(3)).T / system.arm[part]
    return columns


def root_taken(system: Balance, cases: LoadCases, values: Array) -> Array:
    """Return the loads with each tack's root taking its pull straight, which leaves a couple (one admissible choice)."""
    values = values.copy()
    free = np.flatnonzero(~np.isnan(cases.root[:, 0]))
    for k, sign in enumerate((-1.0, 1.0)):
        part, taken = cases.part[free, k], sign * cases.force[free, 0]
        moment = cross(cases.root[free] - system.centres[part], taken) / system.arm[part][:, None]
        values[free, 6 * k : 6 * k + 6] += np.concatenate([taken, moment], axis=1)
    return values
