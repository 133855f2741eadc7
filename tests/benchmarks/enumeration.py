"""A program solved by trying everything: no relaxation, nothing learned; what the solvers are measured against.

In words: at first every variable has its least value. Where that breaks a row, one of the variables that mend it must have more: the
first of them, or not the first but the second, and so on; of all broken rows the one that the fewest can mend. After each step the
bounds of all variables are narrowed by every row they are in, until nothing changes. What cannot be cheaper than the cheapest found
is left.
Formula: in ``low <= sum c x <= high`` a term c x is at most high less the least that all others come to, and at least low less the
most they come to.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass

from solver.model.cpsat import Verdict
from solver.model.program import INFINITE, Program

Narrowing = tuple[int, int, int]
"""A variable, and the bounds it is narrowed to."""
Branch = tuple[Narrowing, ...]


@dataclass(frozen=True)
class Enumerated:
    """The verdict, the cheapest value found, a value for each variable, and how many branches were gone into."""

    verdict: Verdict
    value: int | None
    values: list[int] | None
    branches: int


def cheapest(program: Program, over: Callable[[], bool]) -> Enumerated:
    """Return the cheapest solution, or the cheapest found until `over` says that time is up."""
    box = Box(program)
    value: int | None = None
    values: list[int] | None = None
    branches = 0
    ways: list[tuple[int, Iterator[Branch]]] = [(0, iter([()]))]
    while ways:
        if over():
            return Enumerated("unknown" if values is None else "feasible", value, values, branches)
        mark, left = ways[-1]
        box.back(mark)
        branch = next(left, None)
        if branch is None:
            ways.pop()
            continue
        branches += 1
        if not box.narrowed(branch):
            continue
        further = box.branches()
        if not further:
            values = list(box.low)
            value = program.value(values)
            box.cheaper_than(value)
            further = [()]
        ways.append((len(box.undo), iter(further)))
    return Enumerated("infeasible" if values is None else "optimal", value, values, branches)


class Box:
    """The bounds of all variables, narrowed by rows, and what to undo; the row of the price comes last."""

    def __init__(self, program: Program) -> None:
        self.low, self.high = list(program.low), list(program.high)
        self.rows = [(row.terms, row.low, row.high) for row in program.rows]
        self.rows += [(tuple((member, 1) for member in clique), -INFINITE, 1) for clique in program.cliques]
        self.rows.append((tuple(program.objective.items()), -INFINITE, INFINITE))
        self.constant = program.constant
        self.of: list[list[int]] = [[] for _ in self.low]
        for number, (terms, _, _) in enumerate(self.rows):
            for variable, _ in terms:
                self.of[variable].append(number)
        self.undo: list[Narrowing] = []
        self.asked_all = False

    def cheaper_than(self, value: int) -> None:
        """Ask from now on for less than this price."""
        self.rows[-1] = (self.rows[-1][0], -INFINITE, value - self.constant - 1)

    def back(self, mark: int) -> None:
        """Widen the bounds again to what they were when there were `mark` things to undo."""
        while len(self.undo) > mark:
            variable, low, high = self.undo.pop()
            self.low[variable], self.high[variable] = low, high

    def narrowed(self, branch: Branch) -> bool:
        """Narrow bounds, and all that follows from it by the rows; return whether anything is left."""
        rows = [len(self.rows) - 1] if self.asked_all else list(range(len(self.rows)))
        self.asked_all = True
        waiting = dict.fromkeys(rows)
        for variable, low, high in branch:
            if not self._set(variable, low, high, waiting):
                return False
        while waiting:
            number = next(iter(waiting))
            del waiting[number]
            if not self._spread(number, waiting):
                return False
        return True

    def branches(self) -> list[Branch]:
        """Return what could be next, nothing if the least values keep every row."""
        fewest: list[int] | None = None
        for terms, low, high in self.rows:
            sum_of = sum(c * self.low[v] for v, c in terms)
            if low <= sum_of <= high:
                continue
            mending = [v for v, c in terms if (c > 0) == (sum_of < low) and self.low[v] < self.high[v]]
            if fewest is None or len(mending) < len(fewest):
                fewest = mending
        at_least = [(v, self.low[v], self.low[v]) for v in fewest or ()]
        more = [(v, self.low[v] + 1, self.high[v]) for v in fewest or ()]
        return [(*at_least[:k], entry) for k, entry in enumerate(more)]

    def _spread(self, number: int, waiting: dict[int, None]) -> bool:
        """Narrow what a row says of its variables; return whether it can be kept."""
        terms, low, high = self.rows[number]
        least = sum(c * (self.low[v] if c > 0 else self.high[v]) for v, c in terms)
        most = sum(c * (self.high[v] if c > 0 else self.low[v]) for v, c in terms)
        if least > high or most < low:
            return False
        if least >= low and most <= high:
            return True
        return all(self._set(*narrowing, waiting) for narrowing in self._of_row(terms, high - least, most - low))

    def _of_row(self, terms: Iterable[tuple[int, int]], up: int, down: int) -> list[Narrowing]:
        """Return the bounds of variables that may move their term up by `up` from its least and down by `down` from its most."""
        found = []
        for variable, c in terms:
            low, high = self.low[variable], self.high[variable]
            if abs(c) * (high - low) > min(up, down):
                lower = (high - down // c, low + up // c) if c > 0 else (high - up // -c, low + down // -c)
                found.append((variable, *lower))
        return found

    def _set(self, variable: int, low: int, high: int, waiting: dict[int, None]) -> bool:
        """Narrow a variable's bounds and let its rows wait; return whether a value is left."""
        was_low, was_high = self.low[variable], self.high[variable]
        low, high = max(low, was_low), min(high, was_high)
        if low > high:
            return False
        if (low, high) != (was_low, was_high):
            self.undo.append((variable, was_low, was_high))
            self.low[variable], self.high[variable] = low, high
            waiting.update(dict.fromkeys(self.of[variable]))
        return True
