"""How far each kind of load is from not being held: the share of the largest load of its direction that could be held.

A case of load w is held up to a factor f: gravity and clamps stay as they are, f w is balanced, (f + a little) w is not.
Its utilisation is 1 / f, at most 1 where the case is held. f is a linear program: the same balance with f as one more
unknown. Cases are asked worst suspected first (see `quick`): whether a case is shown to be held when enlarged until it would be
as bad as the worst one found so far; only a case that is not gets its own f.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import highspy
import numpy as np
from scipy import sparse

from inventory.shapes import Array
from solver.statics.balance import Balance
from solver.statics.contacts import ContactSystem, Index
from solver.statics.loads import CaseKind, CaseName, LoadCases
from solver.statics.program import QuietSolver, StaticsUndecided, linear_program
from solver.statics.questions import Questions

PROGRAMS = 250
"""At most so many cases of one kind are asked."""
FACTOR_MAX = 1e3
NO_WORSE = 1e-3
"""A case that is worse by less than this share does not count as worse."""


@dataclass(frozen=True, slots=True)
class Utilisation:
    """The worst case of one kind of load.

    `value` is its utilisation, exact for the `case` named; `most` is proved for every one of the `cases` of this kind, and
    equal to `value` where the worst case is known.
    """

    kind: CaseKind
    cases: int
    value: float
    most: float
    case: CaseName


def utilisations(contact_system: ContactSystem, cases: LoadCases, programs: int = PROGRAMS) -> tuple[Utilisation, ...]:
    """Return the utilisation of every kind of load but gravity alone, whose share nothing scales.

    Parameters
    ----------
    contact_system : ContactSystem
        A fixture that is held under every case.
    cases : LoadCases
    programs : int
        At most so many linear programs are solved for each kind.

    Raises
    ------
    StaticsUndecided
        If gravity and clamps alone are not in balance.
    """
    ask = _Questions(contact_system, cases)
    bound = ask.losses()
    most = np.ones(len(cases)) if bound is None else np.minimum(bound, 1.0)
    found = []
    for kind in dict.fromkeys(name.kind for name in cases.names if name.kind != "gravity"):
        mine = np.array([k for k, name in enumerate(cases.names) if name.kind == kind], dtype=np.intp)
        found.append(_worst(kind, mine[np.argsort(-most[mine], kind="stable")], most, ask, programs))
    return tuple(found)


def _worst(kind: CaseKind, order: Index, most: Array, ask: _Questions, programs: int) -> Utilisation:
    """Return the worst of some cases, given worst suspected first."""
    which = int(order[0])
    worst = ask.share(which)
    for asked, index in enumerate(order.tolist()):
        if most[index] <= worst:
            break
        if asked == programs:
            return Utilisation(kind, len(order), worst, float(most[index]), ask.cases.names[which])
        if not ask.shown(index, (1 - NO_WORSE) / worst):
            share = ask.share(index)
            if share * (1 - NO_WORSE) > worst:
                worst, which = share, index
    return Utilisation(kind, len(order), worst, worst, ask.cases.names[which])


class _Questions(Questions):
    """One contact system's questions, and the largest enlargement of a case that is held."""

    @cached_property
    def _factor(self) -> _Factor:
        return _Factor(self.system)

    def share(self, index: int) -> float:
        """Return a case's utilisation."""
        load = np.zeros(self.system.rows)
        np.add.at(load, self.rows[index], self.values[index])
        return 1.0 / self._factor.most(load, self.root(index))


class _Factor:
    """One contact system's program of the largest factor; every question starts from the same balanced state."""

    def __init__(self, system: Balance) -> None:
        limits = len(system.limit_n)
        right = -(system.known + system.gravity)
        matrix = sparse.csc_array(sparse.vstack([system.wrenches, system.limits]))
        lower = np.concatenate([right, np.full(limits, -highspy.kHighsInf)])
        self._columns = matrix.shape[1]
        upper = np.concatenate([right, system.limit_n])
        self._solver: QuietSolver = linear_program(matrix, np.zeros(self._columns), lower, upper)
        self._solver.setOptionValue("simplex_strategy", 4)
        self._run("gravity alone")
        self._basis = self._solver.getBasis()

    def most(self, load: Array, root: Array | None) -> float:
        """Return the largest factor of a load (rows,) that is held, at most `FACTOR_MAX`; `root` as in `WarmProgram.solve`."""
        added = sparse.csc_array(load[:, None] if root is None else np.column_stack([load, root]))
        count = added.shape[1]
        lower, upper = np.full(count, -highspy.kHighsInf), np.full(count, highspy.kHighsInf)
        lower[0], upper[0] = 0.0, FACTOR_MAX
        cost = np.zeros(count)
        cost[0] = -1.0
        self._solver.addCols(count, cost, lower, upper, added.nnz, added.indptr, added.indices, added.data)
        self._run("the largest factor of a load")
        factor = float(self._solver.getSolution().col_value[self._columns])
        self._solver.deleteCols(count, np.arange(self._columns, self._columns + count, dtype=np.int32))
        self._solver.setBasis(self._basis)
        return max(factor, 1e-9)

    def _run(self, what: str) -> None:
        self._solver.run()
        if self._solver.getModelStatus() != highspy.HighsModelStatus.kOptimal:
            self._solver.clearSolver()
            self._solver.run()
        if self._solver.getModelStatus() != highspy.HighsModelStatus.kOptimal:
            raise StaticsUndecided(f"{what}: {self._solver.modelStatusToString(self._solver.getModelStatus())}")
