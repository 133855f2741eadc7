"""The model of a position for several orders of loading: their floor, and the order that may reach it.

Its rows ask no more than any of its orders does, so what it proves holds of all of them. Bodies, torch and known motions are
asked only once its first rows leave the position in the running, as in the model of one order.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace

from inventory.shapes import Array
from solver.deadline import Deadline
from solver.laying.order_choices import OrderChoices
from solver.model import objective
from solver.model.any_order import clamped, placed
from solver.model.any_order.order_variables import OrderVariables, declare_orders, in_cases
from solver.model.bounds import part_floors
from solver.model.choice import Choice
from solver.model.cpsat import Verdict, solve
from solver.model.families.from_start import asked_pieces, counted, opposed, together
from solver.model.families.on_demand.apart import Apart
from solver.model.families.on_demand.known_motions import KnownMotions
from solver.model.families.on_demand.reachable import Reachable
from solver.model.holding import Holding
from solver.model.objective import MovingCost
from solver.model.program import Program
from solver.model.variables import Variables, declare
from solver.position.problem import Problem

NOTHING = Choice((), (), 0)


@dataclass(frozen=True)
class OrdersOutcome:
    """What is proved of all orders still meant: the verdict, the bound in cents, and the orders (numbers) that may reach it."""

    verdict: Verdict
    bound: int | None
    orders: tuple[int, ...]
    solves: int
    work: float


@dataclass
class OrdersModel:
    """A position's program for several orders of loading, kept for later questions.

    Parameters
    ----------
    problem : Problem
        Of the weldment with any order.
    by_order : mapping
        What a fixture costs at least in each order meant, by its number, cents.
    floors : (cases,) array
        What locating each case's part costs at least, cents.
    """

    problem: Problem
    choices: OrderChoices
    by_order: Mapping[int, int]
    floors: Sequence[float]
    standing: MovingCost | None = None
    motions: list[Array] = field(default_factory=list)
    program: Program = field(default_factory=Program)
    variables: Variables = field(init=False)
    orders: OrderVariables = field(init=False)
    bound: int | None = None
    left_out: set[int] = field(default_factory=set)
    whole: bool = False
    """Whether bodies and the torch are asked."""

    def __post_init__(self) -> None:
        self.problem = replace(self.problem, groups=())
        self.variables = declare(self.program, self.problem)
        self.orders = declare_orders(self.program, self.choices, self.by_order)
        placed.post(self.program, self.variables, self.problem, self.orders)
        opposed.post(self.program, self.variables, self.problem)
        together.post(self.program, self.variables, self.problem)
        clamped.post(self.program, self.variables, self.problem, self.orders)
        counted.post(self.program, self.variables, self.problem)
        asked_pieces.post(self.program, self.variables, self.problem)
        objective.post(self.program, self.variables, self.problem)
        if self.standing is not None:
            objective.post_moving(self.program, self.variables, self.standing)
        self._post_floors()
        self._motions = KnownMotions(self.problem, self.variables, Holding(self.problem, self.motions))

    def cheapest(self, deadline: Deadline, *, seed: int, work: float | None, ceiling: int | None) -> OrdersOutcome:
        """Return what any order costs at least, at most `ceiling` being of interest, and the orders that may cost no more."""
        solves, used = 0, 0.0
        while True:
            left = None if work is None else work - used
            solved = solve(self.program, seed=seed, seconds=deadline.seconds_left(), work=left, floor=self.bound, ceiling=ceiling)
            solves, used = solves + 1, used + solved.work
            known = solved.value if solved.verdict == "optimal" else solved.bound
            self.bound = known if self.bound is None or (known is not None and known > self.bound) else self.bound
            if solved.values is None or solved.verdict != "optimal":
                return OrdersOutcome(solved.verdict, self.bound, (), solves, used)
            if not self._asks_more(solved.values):
                meant = next(own for variable, own in self.orders.alike.items() if solved.values[variable])
                return OrdersOutcome("optimal", self.bound, meant, solves, used)

    def leave_out(self, orders: Sequence[int]) -> None:
        """Mean some orders no longer: they are asked on their own."""
        self.left_out |= set(orders)
        for variable, own in self.orders.alike.items():
            if self.left_out.issuperset(own):
                self.program.high[variable] = 0

    def _asks_more(self, values: Sequence[int]) -> bool:
        """Add what a choice breaks: motions known to undo it, then bodies and torch; return whether there is anything."""
        chosen = [index for index, variable in enumerate(self.variables.candidates) if values[variable]]
        undone = self._motions.rows(self._motions.holding.undoing(chosen))
        if undone.rows:
            self.program.add(undone)
            return True
        if self.whole:
            return False
        families = [family(self.problem, self.variables, self._motions.holding) for family in (Apart, Reachable)]
        for broken in [broken for family in families for broken in family.broken(NOTHING)]:
            self.program.add(broken.rows)
        self.whole = True
        return True

    def _post_floors(self) -> None:
        """Add what each part's case and each order costs at least."""
        for part, terms in enumerate(part_floors.shares(self.variables, self.problem)):
            floors = [(case, self.floors[number]) for number, case in self.orders.of_part(part)]
            least = [(case, part_floors.in_tenths(floor)) for case, floor in floors if math.isfinite(floor)]
            if any(floor > 0 for _, floor in least):
                self.program.row("floor", [*terms, *in_cases(least)], 0)
        least_of = [(variable, -min(self.by_order[k] for k in own)) for variable, own in self.orders.alike.items()]
        self.program.row("price", [*self.program.objective.items(), *least_of], low=-self.program.constant)
