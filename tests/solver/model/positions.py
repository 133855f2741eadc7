"""One lattice position laid by hand, without any search, and its candidates fixed to stand or not under some families' rows."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Collection, Iterable, Sequence
from dataclasses import dataclass, field

import numpy as np

from inventory.stock import StockSnapshot
from solver.access.torch import free_torch_directions
from solver.cost import stack_times
from solver.hardware.candidates import Candidate, Lattice
from solver.hardware.matching import Shelf, matches
from solver.hardware.reachable_holes import ReachableHoles
from solver.hardware.screening import screen
from solver.hardware.sites import find_sites
from solver.laying.lay_out import drawn_samples, lay_out
from solver.model.choice import Choice
from solver.model.cpsat import solve
from solver.model.families import Broken, FromStart, OnDemand
from solver.model.holding import Holding
from solver.model.program import Program, Rows
from solver.model.variables import Variables, declare
from solver.model.witness import feasible
from solver.position.problem import Problem
from solver.position.problem_of import problem_of
from solver.request import Request

SECONDS = 20.0


def position(request: Request, stock: StockSnapshot, phase: tuple[float, float], lift: float = 0.0) -> Problem:
    """Return all that may stand around a weldment as drawn, `lift` above table T1, with a hole at `phase` under its origin."""
    table = stock.tables["T1"]
    samples, _ = drawn_samples(request.weldment, request.rules)
    laid = lay_out(request.weldment, request.rules, np.eye(3), lift, samples)
    stacks, found = matches(Shelf(list(stock.items.values()), table.pitch, 2), laid)
    sites = screen(find_sites(ReachableHoles.of(stacks, found), [Lattice(phase, table.pitch)]), laid, Counter())
    times = [stack_times(request, stock, [level.item for level in stack.levels]) for stack in stacks]
    return problem_of(request, stock, laid, sites, free_torch_directions(laid), times, table)


@dataclass
class Fixing:
    """The rows of some families alone, in which candidates are made to stand or not."""

    problem: Problem
    program: Program = field(default_factory=Program)
    variables: Variables = field(init=False)

    def __post_init__(self) -> None:
        self.variables = declare(self.program, self.problem)

    @staticmethod
    def of(problem: Problem, *families: FromStart) -> Fixing:
        """Return the rows of families from the start."""
        fixing = Fixing(problem)
        for family in families:
            family.post(fixing.program, fixing.variables, problem)
        return fixing

    def on_demand(self, family: type[OnDemand], holding: Holding | None = None) -> OnDemand:
        """Return a family on demand, bound to this position."""
        return family(self.problem, self.variables, holding or Holding(self.problem))

    def add(self, broken: Iterable[Broken | Rows]) -> int:
        """Add the rows of what a choice broke; return how much it broke."""
        found = list(broken)
        for entry in found:
            self.program.add(entry if isinstance(entry, Rows) else entry.rows)
        return len(found)

    def allows(
        self, standing: Iterable[int], *, others: bool = False, without: Iterable[int] = (), pulled: Collection[int] | None = None
    ) -> bool:
        """Return whether these candidates may stand: nothing else, or (`others`) whatever else is wanted but `without`.

        `pulled` are the pieces pulled each cycle; if not told, whichever help.
        """
        chosen, shunned = set(standing), set(without)
        free = set(range(len(self.variables.candidates))) - shunned if others else set[int]()
        verdict = feasible(self._fixed(chosen, free - chosen, pulled), SECONDS)
        assert verdict != "unknown"
        return verdict == "optimal"

    def cents(self, standing: Collection[int], pulled: Collection[int] = ()) -> int | None:
        """Return the least objective with these candidates and nothing else, None if they may not stand."""
        solved = solve(self._fixed(standing, (), pulled), seed=1, seconds=SECONDS)
        assert solved.verdict in ("optimal", "infeasible")
        return solved.value

    def _fixed(self, standing: Collection[int], free: Collection[int], pulled: Collection[int] | None) -> Program:
        """Return the rows with every candidate but the free ones made to stand or not, and pulled or not if told."""
        fixed = self.program.copy()
        for index, variable in enumerate(self.variables.candidates):
            if index not in free:
                fixed.row("fixed", [(variable, 1)], int(index in standing), int(index in standing))
        for index, variable in self.variables.pull.items():
            if pulled is not None:
                fixed.row("fixed", [(variable, 1)], int(index in pulled), int(index in pulled))
        return fixed


def choice(problem: Problem, standing: Sequence[int], cents: int = 0, pulled: Iterable[int] = ()) -> Choice:
    """Return a choice of these candidates; the widest of each part's groups serves as its side."""
    sides: dict[int, tuple[float, int]] = {}
    for number, group in enumerate(problem.groups):
        points = [point for point in group.points if point.candidate is None or point.candidate in standing]
        if sum(point.points for point in points) >= group.needed:
            wide = max(point.high for point in points) - min(point.low for point in points)
            sides[group.part] = max(sides.get(group.part, (0.0, number)), (wide, number))
    return Choice(tuple(sorted(standing)), tuple(sorted(number for _, number in sides.values())), cents, frozenset(pulled))


def those(problem: Problem, wanted: Callable[[Candidate], bool]) -> list[int]:
    """Return the candidates of a kind, by their position along x, then y."""
    found = [index for index, candidate in enumerate(problem.candidates) if wanted(candidate)]
    return sorted(found, key=lambda index: tuple(problem.candidates[index].meetings[0].at[:2].round(3)))


def facing(x: float, y: float, item: str | None = None) -> Callable[[Candidate], bool]:
    """Return what picks locators that push along (x, y)."""
    return lambda c: (
        not c.clamp
        and (item is None or c.stack.top.id == item)
        and bool(abs(c.meetings[0].normal[0] - x) < 1e-6 and abs(c.meetings[0].normal[1] - y) < 1e-6)
    )


def clamping(candidate: Candidate) -> bool:
    """Return whether a candidate clamps."""
    return candidate.clamp
