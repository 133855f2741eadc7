"""One pose's model: the program, solved for the cheapest choice that also holds, again and again with more asked of it."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field, replace
from functools import cached_property

import numpy as np

from inventory.shapes import Array
from solver import statics
from solver.model import objective, preference
from solver.model.bounds import part_floors
from solver.model.bounds.difference import Signature, differ
from solver.model.cpsat import Solved, Verdict, solve
from solver.model.families import FIRST, THEN
from solver.model.families.from_start import located
from solver.model.families.on_demand import accurate, held, ways
from solver.model.objective import MovingCost
from solver.model.program import Program
from solver.model.variables import Variables, declare
from solver.position.contact_system import contact_system_of, load_cases_of
from solver.position.locating_errors import locating_violations
from solver.position.problem import Problem
from solver.statics import ContactSystem, Failure, LoadCases

ROUNDS = 60
MOST_MOTIONS = 200
"""So many motions are kept for a whole search."""
TRUER_TRIES = 3
TRUER_WORK = 0.5


@dataclass(frozen=True)
class Choice:
    """A set of candidates that stand, which side group serves each part, the objective in cents, and which may be pulled."""

    candidates: tuple[int, ...]
    sides: tuple[int, ...]
    cents: int
    pulled: frozenset[int] = frozenset()


@dataclass(frozen=True)
class Refusal:
    """A choice that is located, clamped and reachable but broke `rule`: what exactly, and what it would have cost, cents."""

    rule: str
    what: str
    cents: int


@dataclass(frozen=True)
class Outcome:
    """What a search on one pose found: the verdict, the choice, the proven bound in cents, and the work it took.

    `refusals` are the choices on the way that were not held or not true.
    """

    verdict: Verdict
    choice: Choice | None
    bound: int | None
    solves: int
    rounds: int
    work: float
    refusals: tuple[Refusal, ...] = ()


@dataclass
class PositionModel:
    """A pose's program, kept for later questions; cuts found once stay.

    `bound` is the least any choice on the pose costs, as far as proved (cents). `floors` is what locating
    each part costs at least (cents), `standing` what moving pieces of the plan to keep costs. `motions` undid a choice
    before, here or on another pose that shares the list (weldment as drawn); the first `asked` of them are in the rows.
    """

    problem: Problem
    floors: tuple[float, ...] = ()
    standing: MovingCost | None = None
    motions: list[Array] = field(default_factory=list)
    program: Program = field(default_factory=Program)
    variables: Variables = field(init=False)
    complete: bool = False
    bound: int | None = None
    refusals: list[Refusal] = field(default_factory=list)
    asked: int = 0

    def __post_init__(self) -> None:
        self.variables = declare(self.program, self.problem)
        for family in FIRST:
            family.post(self.program, self.variables, self.problem)
        objective.post(self.program, self.variables, self.problem)
        if self.standing is not None:
            objective.post_moving(self.program, self.variables, self.standing)
        part_floors.post(self.program, self.variables, self.problem, self.floors)

    @cached_property
    def forces(self) -> ContactSystem:
        """All that could push on the parts."""
        return contact_system_of(self.problem)

    @cached_property
    def cases(self) -> LoadCases:
        """The load cases of this lie."""
        return load_cases_of(self.problem.laid)

    def cheapest(
        self,
        *,
        seed: int,
        seconds_left: Callable[[], float],
        work: float | None,
        ceiling: int | None = None,
        unlike: Sequence[Signature] = (),
        should_stop: Callable[[], bool] | None = None,
    ) -> Outcome:
        """Return the cheapest choice that is held, costs at most `ceiling` and differs enough from `unlike`."""
        solves = rounds = 0
        used = 0.0
        known = len(self.refusals)
        bound = self.bound
        while True:
            program = differ(self.program, self.variables, self.problem, unlike) if unlike else self.program
            left = None if work is None else work - used
            solved = solve(
                program, seed=seed, seconds=seconds_left(), work=left, floor=bound, ceiling=ceiling, should_stop=should_stop
            )
            solves += 1
            used += solved.work
            bound = _higher(bound, solved.value if solved.verdict == "optimal" else solved.bound)
            if not unlike:
                self.bound = bound
            if solved.values is None:
                return Outcome(solved.verdict, None, bound, solves, rounds, used, tuple(self.refusals[known:]))
            choice = self._choice(solved)
            if not self._more(choice, seconds_left):
                return Outcome(solved.verdict, choice, bound, solves, rounds, used, tuple(self.refusals[known:]))
            rounds += 1
            if rounds >= ROUNDS or seconds_left() <= 0 or (work is not None and used >= work):
                return Outcome("unknown", None, bound, solves, rounds, used, tuple(self.refusals[known:]))

    def truer(self, choice: Choice, *, unlike: Sequence[Signature], seed: int, seconds_left: Callable[[], float]) -> Choice:
        """Return the truest choice at the same price: long sides, wide points.

        The cheapest is not unique: of equal prices the fitter's preference decides, and the same plan comes out every time.
        """
        known = len(self.refusals)
        for _ in range(TRUER_TRIES):
            if seconds_left() <= 0:
                break
            program = differ(self.program, self.variables, self.problem, unlike) if unlike else self.program
            wanted = preference.preferring(program, self.variables, self.problem, choice.cents)
            solved = solve(wanted, seed=seed, seconds=seconds_left(), work=TRUER_WORK)
            if solved.values is None:
                return choice
            found = replace(self._choice(solved), cents=program.value(dict(enumerate(solved.values))))
            if not self._more(found, seconds_left):
                return found
            del self.refusals[known:]
        return choice

    def forbid(self, choice: Choice) -> None:
        """Never return this choice again."""
        chosen = self.variables.candidates
        self.program.row("refused", [(chosen[index], -1) for index in choice.candidates], 1 - len(choice.candidates))

    def _more(self, choice: Choice, seconds_left: Callable[[], float]) -> bool:
        """Add all the rows a choice breaks, not all of them if time is up; return whether there were any."""
        if not self.complete:
            self.complete = True
            for family in THEN:
                family.post(self.program, self.variables, self.problem)
            self._ask_known()
            return True
        tipped = located.tip(self.program, self.variables, self.problem, choice.candidates)
        stuck = ways.stuck(self.problem, choice.candidates, choice.pulled)
        for mover in stuck:
            if seconds_left() <= 0:
                return True
            ways.post(self.program, self.variables, self.problem, mover)
        broken = locating_violations(self.problem, choice.candidates)
        if broken:
            self.refusals.append(Refusal(broken[0].rule, broken[0].text(self.problem), choice.cents))
            accurate.post(self.program, self.variables, self.problem, broken[0], choice.sides)
        return self._falls(choice) or tipped or bool(stuck) or bool(broken)

    def _falls(self, choice: Choice) -> bool:
        """Add the rows that statics ask for of a choice; return whether there were any."""
        verdict = statics.holding_verdict(self.forces.chosen(choice.candidates), self.cases)
        ids = [part.id for part in self.problem.laid.parts]
        for failure in verdict.failures:
            self.refusals.append(Refusal(f"hold.{failure.case.kind}", failure.case.text(ids), choice.cents))
            held.post(self.program, self.variables, self.forces, failure, choice.candidates)
            self._keep(failure)
        if not verdict.ok:
            self._ask_known()
        return not verdict.ok

    def _keep(self, failure: Failure) -> None:
        """Keep the motion that undid a choice, for like parts and other poses."""
        if failure.certificate is not None and len(self.motions) < MOST_MOTIONS:
            twist, rotation = failure.certificate.twist, self.problem.laid.rotation
            moving = statics.moving_alone(twist)
            like = self._like(moving) if moving is not None else []
            for motion in (twist, *statics.on_like_parts(twist, like)):
                self.motions.append(statics.turned_twist(motion, rotation.T))

    def _ask_known(self) -> None:
        """Add what the motions known by now, and not asked yet, ask of the candidates."""
        for motion in self.motions[self.asked :]:
            twist = statics.turned_twist(motion, self.problem.laid.rotation)
            held.post_known(self.program, self.variables, self.forces, self.cases, twist)
        self.asked = len(self.motions)

    def _like(self, index: int) -> list[int]:
        """Return the parts of one section and length that lie alike."""
        parts = self.problem.laid.parts
        one = parts[index]
        same = [held for held in parts if (held.part.section, held.part.length) == (one.part.section, one.part.length)]
        return [held.index for held in same if np.allclose(held.frame[:3, :3], one.frame[:3, :3], atol=1e-6)]

    def _choice(self, solved: Solved) -> Choice:
        assert solved.values is not None and solved.value is not None
        chosen = tuple(index for index, variable in enumerate(self.variables.candidates) if solved.values[variable])
        sides = tuple(index for index, variable in enumerate(self.variables.side) if solved.values[variable])
        pulled = frozenset(index for index, variable in self.variables.pull.items() if solved.values[variable])
        return Choice(chosen, sides, solved.value, pulled)


def _higher(one: int | None, other: int | None) -> int | None:
    return other if one is None else one if other is None else max(one, other)
