"""One position's model: the program, solved for the cheapest choice that also keeps what is asked on demand, again and again."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from itertools import pairwise

from inventory.shapes import Array
from solver.deadline import Deadline, DeadlinePassed, look
from solver.model import objective
from solver.model.bounds import part_floors
from solver.model.bounds.difference import Unlike, differ
from solver.model.choice import Choice, Refusal
from solver.model.cpsat import Solved, Verdict, solve
from solver.model.families import OnDemand
from solver.model.families.from_start import FROM_START
from solver.model.families.on_demand import ON_DEMAND
from solver.model.families.on_demand.reachable import Reachable
from solver.model.holding import Holding
from solver.model.objective import MovingCost
from solver.model.preferences import TIERS, preferring
from solver.model.program import Program
from solver.model.slid_along import SlidAlong
from solver.model.variables import Variables, declare
from solver.model.variants import same_pieces
from solver.model.variants.same_pieces import ProblemVariables
from solver.position.problem import Problem

ROUNDS = 60
SLIDES = 20
SLIDING_WORK = 0.1
WISHES = 3
"""So often a tier of preferences is asked anew after what it chose broke something."""
WISH_WORK = 0.1


@dataclass(frozen=True)
class ModelOutcome:
    """What a search at one position found: the verdict, the choice, the proven bound in cents, and the work it took.

    `refusals` are the choices on the way that were turned away. `open` says that the position may be asked on.
    """

    verdict: Verdict
    choice: Choice | None
    bound: int | None
    solves: int
    rounds: int
    work: float
    refusals: tuple[Refusal, ...] = ()
    open: bool = False


@dataclass(frozen=True)
class Preferred:
    """The preferred choice at a price, and what each tier of preferences comes to, as far as they were asked."""

    choice: Choice
    wishes: tuple[int, ...]


@dataclass
class PositionModel:
    """A position's program, kept for later questions; rows found once stay.

    `bound` is the least any choice at the position costs, as far as proved (cents). `floors` is what locating
    each part costs at least (cents), `standing` what moving pieces of the plan to keep costs. `motions` undid a choice
    before, here or at another position that shares the list (weldment as drawn). `beside` are the problems of the variants that
    run on the same set-up, each with a list of motions of its own in `motions_beside`.
    """

    problem: Problem
    floors: tuple[float, ...] = ()
    standing: MovingCost | None = None
    motions: list[Array] = field(default_factory=list)
    beside: Sequence[Problem] = ()
    motions_beside: Sequence[list[Array]] = ()
    program: Program = field(default_factory=Program)
    variables: Variables = field(init=False)
    holding: Holding = field(init=False)
    holdings_beside: list[Holding] = field(init=False)
    on_demand: list[list[OnDemand]] = field(init=False)
    """Families that are asked together, for the request's own weldment and for each variant."""
    variants: list[ProblemVariables] = field(init=False)
    bound: int | None = None
    refusals: list[Refusal] = field(default_factory=list)
    rounds: Counter[int] = field(default_factory=Counter)
    """Rounds of the questions asked so far, by how many choices they were to differ from."""

    def __post_init__(self) -> None:
        self.variables = self._posted(self.problem)
        self.variants = [ProblemVariables(problem, self._posted(problem)) for problem in self.beside]
        order = [ProblemVariables(self.problem, self.variables), *self.variants]
        runs = [same_pieces.post(self.program, order[0], before, after) for before, after in pairwise(order)]
        objective.post(self.program, self.variables, self.problem, runs)
        if self.standing is not None:
            objective.post_moving(self.program, self.variables, self.standing)
        part_floors.post(self.program, self.variables, self.problem, self.floors)
        motions = [self.motions, *(self.motions_beside or ([] for _ in self.beside))]
        holdings = [Holding(each.problem, known) for each, known in zip(order, motions, strict=True)]
        self.holding, self.holdings_beside = holdings[0], holdings[1:]
        self.on_demand = [
            [
                family(each.problem, each.variables, holding)
                for each, holding in zip(order, holdings, strict=True)
                for family in together
            ]
            for together in ON_DEMAND
        ]

    def _posted(self, problem: Problem) -> Variables:
        """Return the variables of one weldment's problem, with the rows that are there from the start."""
        variables = declare(self.program, problem)
        for family in FROM_START:
            look()
            family.post(self.program, variables, problem)
        return variables

    def cheapest(
        self,
        deadline: Deadline,
        *,
        seed: int,
        work: float | None,
        ceiling: int | None = None,
        unlike: Sequence[Unlike] = (),
        patience: int = ROUNDS,
    ) -> ModelOutcome:
        """Return the cheapest choice that is held, costs at most `ceiling` and differs enough from `unlike`.

        After so many solves (`patience`) without an answer the question stays open, with what is proved by then.
        """
        solves = rounds = again = 0
        used = 0.0
        known = len(self.refusals)
        bound = self.bound
        while True:
            program = differ(self.program, self.variables, self.problem, unlike) if unlike else self.program
            left = None if work is None else work - used
            with deadline.in_force():
                solved = solve(program, seed=seed, seconds=deadline.seconds_left(), work=left, floor=bound, ceiling=ceiling)
            solves += 1
            used += solved.work
            bound = _higher(bound, solved.value if solved.verdict == "optimal" else solved.bound)
            if not unlike:
                self.bound = bound
            if solved.values is None:
                return ModelOutcome(solved.verdict, None, bound, solves, rounds, used, tuple(self.refusals[known:]))
            choice = self._choice(solved)
            broken = self._broken(choice, deadline)
            if broken is None:
                return ModelOutcome(solved.verdict, choice, bound, solves, rounds, used, tuple(self.refusals[known:]))
            if broken == 0:
                again += 1
                continue
            rounds += 1
            slid, tries = self._slid_along(choice, deadline, unlike, seed)
            rounds += tries
            if slid is not None:
                verdict: Verdict = "optimal" if slid.cents == bound else "feasible"
                return ModelOutcome(verdict, slid, bound, solves, rounds, used, tuple(self.refusals[known:]))
            self.rounds[len(unlike)] += 1
            ended = deadline.over or (work is not None and used >= work)
            if ended or self.rounds[len(unlike)] >= ROUNDS or solves - again >= patience:
                more = not ended and self.rounds[len(unlike)] < ROUNDS
                return ModelOutcome("unknown", None, bound, solves, rounds, used, tuple(self.refusals[known:]), more)

    def _slid_along(self, choice: Choice, deadline: Deadline, unlike: Sequence[Unlike], seed: int) -> tuple[Choice | None, int]:
        """Return a choice with the same pieces at the same price that breaks nothing, None if none was found, and the tries."""
        slid = SlidAlong(self.program, self.variables, self.problem, choice)
        for tries in range(SLIDES):
            if deadline.over:
                return None, tries
            wanted = slid.truest()
            if unlike:
                wanted = differ(wanted, self.variables, self.problem, unlike)
            with deadline.in_force():
                solved = solve(wanted, seed=seed, seconds=deadline.seconds_left(), work=SLIDING_WORK)
            if solved.values is None:
                return None, tries + 1
            found = replace(self._choice(solved), cents=self.program.value(solved.values))
            if self._broken(found, deadline) is None:
                return found, tries + 1
        return None, SLIDES

    def preferred(self, choice: Choice, deadline: Deadline, *, unlike: Sequence[Unlike], seed: int) -> Preferred:
        """Return what a fitter prefers at the price of a choice, and how well it does, tier by tier, the less the better.

        The cheapest is not unique: of equal prices the fitter's preference decides, and the same plan comes out every time.
        """
        known = len(self.refusals)
        best, held = choice, list[int]()
        for _ in TIERS:
            found = self._wished(choice.cents, held, deadline, unlike, seed)
            if found is None:
                break
            best, least = found
            held.append(least)
        del self.refusals[known:]
        return Preferred(best, tuple(held))

    def _wished(
        self, cents: int, held: Sequence[int], deadline: Deadline, unlike: Sequence[Unlike], seed: int
    ) -> tuple[Choice, int] | None:
        """Return what the next tier prefers, and what it comes to; None if that breaks something again and again."""
        for _ in range(WISHES):
            if deadline.over:
                break
            program = differ(self.program, self.variables, self.problem, unlike) if unlike else self.program
            wanted = preferring(program, self.variables, self.problem, cents, held)
            with deadline.in_force():
                solved = solve(wanted, seed=seed, seconds=deadline.seconds_left(), work=WISH_WORK)
            if solved.values is None or solved.value is None:
                return None
            found = replace(self._choice(solved), cents=program.value(solved.values))
            if self._broken(found, deadline) is None:
                return found, solved.value
        return None

    def ask_for_the_torch(self) -> None:
        """Write down now that the torch must reach every weld, as the first choice would be asked."""
        for family in (family for together in self.on_demand for family in together if isinstance(family, Reachable)):
            for broken in family.broken(Choice((), (), 0)):
                self.program.add(broken.rows)

    def forbid(self, choice: Choice) -> None:
        """Never return this choice again."""
        chosen = self.variables.candidates
        self.program.row("search.check", [(chosen[index], -1) for index in choice.candidates], 1 - len(choice.candidates))

    def _broken(self, choice: Choice, deadline: Deadline) -> int | None:
        """Add the rows of what a choice breaks; return where in `on_demand`, None if nowhere.

        Not all rows are added if time is up, and then it breaks something nobody knows.
        """
        try:
            with deadline.in_force():
                for number, together in enumerate(self.on_demand):
                    if self._adds(together, choice):
                        return number
        except DeadlinePassed:
            return len(self.on_demand)
        return None

    def _adds(self, together: Sequence[OnDemand], choice: Choice) -> bool:
        """Add the rows of what a choice breaks of some families; return whether there are any."""
        breaks = False
        for family in together:
            look()
            for broken in family.broken(self.meant(family, choice)):
                self.program.add(broken.rows)
                if broken.refusal is not None:
                    self.refusals.append(broken.refusal)
                breaks = True
                look()
        return breaks

    def meant(self, family: OnDemand, choice: Choice) -> Choice:
        """Return the choice of the weldment that a family speaks of."""
        beside = zip(self.variants, choice.variants, strict=False)
        return next((own for each, own in beside if each.variables is family.variables), choice)

    def choice_of(self, values: Sequence[int], cents: int) -> Choice:
        """Return what a solution chooses, for the request's own weldment and for every variant."""
        beside = tuple(_chosen(each.variables, values, 0) for each in self.variants)
        return replace(_chosen(self.variables, values, cents), variants=beside)

    def _choice(self, solved: Solved) -> Choice:
        assert solved.values is not None and solved.value is not None
        return self.choice_of(solved.values, solved.value)


def _chosen(variables: Variables, values: Sequence[int], cents: int) -> Choice:
    """Return what a solution chooses of one weldment's variables."""
    chosen = tuple(index for index, variable in enumerate(variables.candidates) if values[variable])
    sides = tuple(index for index, variable in enumerate(variables.side) if values[variable])
    pulled = frozenset(index for index, variable in variables.pull.items() if values[variable])
    seat = next((number for number, variable in enumerate(variables.seat) if values[variable]), None)
    ends = frozenset(contact for contact, variable in variables.around_end.items() if values[variable])
    return Choice(chosen, sides, cents, pulled, seat, ends)


def _higher(one: int | None, other: int | None) -> int | None:
    return other if one is None else one if other is None else max(one, other)
