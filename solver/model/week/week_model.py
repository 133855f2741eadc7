"""A week solved by CP-SAT: first as few left over as can be, then the cheapest of those.

In words: the whole is asked for a while; a small week is proved by then. A larger one is bettered by planning some of its jobs
anew at a time, all others fixed; then the whole is asked again for what time there is, from there on.

One worker, one seed, every stage limited in deterministic units: the same answer every time unless the wall clock ends it.
"""

from __future__ import annotations

import math
import random
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Literal

from solver.deadline import Deadline
from solver.model.cp_model import cp_model
from solver.model.cpsat import stopped_on_wish
from solver.model.cpsat_model import model_of
from solver.model.program import Program
from solver.model.week.week_neighbours import neighbours
from solver.model.week.week_rows import FAMILIES
from solver.model.week.week_variables import Doing, WeekVariables, week_variables
from solver.week.chains import Done, assignments_of
from solver.week.prices import week_cost
from solver.week.values import Assignment, Week

FIRST_WORK, BETTER_WORK, ROUND_WORK, COUNTING_WORK = 3.0, 8.0, 0.8, 4.0
"""Deterministic units: for the whole at first, for planning parts anew, for one such part, for how many can be done at all."""
_NOTHING_KNOWN = -(2**62)


@dataclass(frozen=True, slots=True)
class WeekFound:
    """Assignments, and what is proved of them.

    `bound_cents` lies under the price of all weeks that leave as few over; `fewest`: none leaves fewer over.
    """

    assignments: tuple[Assignment, ...]
    total_cents: int
    bound_cents: int
    fewest: bool
    stopped_by: Literal["proof", "work", "time", "cancel"]
    work: float

    @property
    def proved(self) -> bool:
        """Whether no week is better."""
        return self.fewest and self.bound_cents >= self.total_cents


def cheapest_week(week: Week, start: Sequence[Assignment], deadline: Deadline, work_limit: float | None) -> WeekFound:
    """Return the best week found from a sound one on; that one itself if none is better.

    Parameters
    ----------
    work_limit : float or None
        Limit in the solver's deterministic units.
    """
    made = week_variables(week)
    for family in FAMILIES:
        family(made)
    search = _Search(made, deadline, math.inf if work_limit is None else work_limit, tuple(start))
    fewest = search.run()
    total = total_cents(week, search.best)
    bound = search.bound
    if bound > total:
        raise AssertionError(f"a week of {total} cents was found, below what is proved of all, {bound}")
    stopped_by: Literal["proof", "work", "time", "cancel"] = "proof"
    if bound < total or not fewest:
        stopped_by = "cancel" if deadline.should_stop() else "work" if search.spent else "time"
    return WeekFound(search.best, total, bound, fewest, stopped_by, search.work)


def total_cents(week: Week, assignments: Sequence[Assignment]) -> int:
    """Return the price of a week in which all other jobs are left over."""
    done = {each.job for each in assignments}
    return week_cost(week, assignments, [job.id for job in week.jobs if job.id not in done]).total_cents


class _Search:
    """The best week so far, the bound under all that leave as few over, and the work spent."""

    def __init__(self, made: WeekVariables, deadline: Deadline, work_limit: float, best: tuple[Assignment, ...]) -> None:
        self._made, self._deadline, self._limit = made, deadline, work_limit
        self.best, self.bound, self.work = best, _NOTHING_KNOWN, 0.0

    @property
    def spent(self) -> bool:
        """Whether there is no work left."""
        return self.work >= self._limit

    def run(self) -> bool:
        """Look for the week; return whether it is proved that none leaves fewer over."""
        most = self._counted(len({each.job.id for each in self._made.doings}), FIRST_WORK)
        count = len(self.best)
        if count == most:
            self._priced(count, FIRST_WORK)
        if not self._over:
            self._bettered()
            most = self._counted(most, COUNTING_WORK)
            if len(self.best) > count:
                self.bound = _NOTHING_KNOWN
        if not self._over:
            self._priced(len(self.best), math.inf)
        return len(self.best) == most

    def _counted(self, most: int, work: float) -> int:
        """Look for a week that leaves fewer over; return how many jobs can be done at most, as far as proved."""
        if len(self.best) >= most or self.spent or self._deadline.over:
            return most
        counting = self._made.program.copy()
        counting.objective, counting.constant = {each.variable: -1 for each in self._made.doings}, 0
        return min(most, -self._asked(model_of(counting), counting, work))

    def _priced(self, count: int, work: float) -> None:
        """Look for the cheapest week that does so many jobs at least."""
        program = self._made.program.copy()
        if self._made.doings:
            program.row("done", [(each.variable, 1) for each in self._made.doings], low=count)
        self.bound = max(self.bound, self._asked(model_of(program), program, work))

    @property
    def _over(self) -> bool:
        return self.spent or self._deadline.over or self.bound >= total_cents(self._made.week, self.best)

    def _bettered(self) -> None:
        """Plan some jobs anew at a time, all others as they are; one more job done is worth any price."""
        program = self._made.program.copy()
        worth = 1 + sum(abs(cents) for cents in program.objective.values())
        program.cost({each.variable: -worth for each in self._made.doings})
        model = model_of(program)
        until, chance = self.work + BETTER_WORK, random.Random(self._made.week.seed)
        rounds = neighbours(self._made, self.best, chance)
        while self.work < until and not self._over:
            free, before = next(rounds), self.best
            there = {each.job: each for each in self.best}
            part = model.clone()
            for each in self._made.doings:
                if each.job.id not in free:
                    value = int(_is_done(self._made.week, each, there))
                    domain = part.proto.variables[each.variable].domain
                    domain[0], domain[1] = value, value
            self._asked(part, program, ROUND_WORK)
            if self.best is not before:
                rounds = neighbours(self._made, self.best, chance)

    def _asked(self, model: cp_model.CpModel, program: Program, work: float) -> int:
        """Minimise from the best week on, kept unless there is a better one; return what is proved below all solutions."""
        _hint(model, self._made, self.best)
        solver = cp_model.CpSolver()
        settings = solver.parameters
        settings.num_workers = 1
        settings.catch_sigint_signal = False
        settings.random_seed = self._made.week.seed % 2**31
        settings.linearization_level = 2
        settings.max_time_in_seconds = max(0.01, self._deadline.seconds_left())
        units = min(work, self._limit - self.work)
        if math.isfinite(units):
            settings.max_deterministic_time = max(1e-6, units)
        with self._deadline.in_force(), stopped_on_wish(solver):
            status = solver.solve(model)
        self.work += solver.deterministic_time
        if status in (cp_model.OPTIMAL, cp_model.FEASIBLE):
            self._take(list(solver.response_proto.solution))
        bound, least = solver.best_objective_bound, _least(program)
        if status not in (cp_model.OPTIMAL, cp_model.FEASIBLE) or not math.isfinite(bound):
            return least  # without a solution the library's bound may not be set
        return max(least, math.ceil(bound - 1e-6) + program.constant)

    def _take(self, values: Sequence[int]) -> None:
        """Keep a solution if it is better."""
        made, week = self._made, self._made.week
        done = [Done(each.job.id, each.choice, each.spell) for each in made.doings if values[each.variable]]
        stood = {(kit, day) for kit, days in made.stands.items() for day, variable in enumerate(days) if values[variable]}
        found = assignments_of(week, done, lambda kit, day: (kit, day) in stood)
        if (-len(found), total_cents(week, found)) < (-len(self.best), total_cents(week, self.best)):
            self.best = found


def _is_done(week: Week, doing: Doing, there: Mapping[str, Assignment]) -> bool:
    found = there.get(doing.job.id)
    spell = None if found is None else (week.number(found.first), week.number(found.last))
    return found is not None and found.choice == doing.choice and spell == (doing.spell.first, doing.spell.last)


def _hint(model: cp_model.CpModel, made: WeekVariables, start: Sequence[Assignment]) -> None:
    week = made.week
    there = {each.job: each for each in start}
    hint = {each.variable: int(_is_done(week, each, there)) for each in made.doings}
    for kit, variables in made.stands.items():
        own = [each for each in start if each.choice.set_up.kit == kit]
        held = {day for each in own for day in range(week.number(each.from_day), week.number(each.last) + 1)}
        hint |= {variable: int(day in held) for day, variable in enumerate(variables)}
        set_on = {(week.number(each.first), each.choice.setup_cents) for each in own if each.stays_after is None}
        hint |= {made.sets[at]: int(at[1:] in set_on) for at in made.sets if at[0] == kit}
    wanted = model.proto.solution_hint
    wanted.vars.clear()
    wanted.values.clear()
    wanted.vars.extend(list(hint))
    wanted.values.extend(list(hint.values()))


def _least(program: Program) -> int:
    """Return what no solution can cost less than, from its costs alone."""
    ends = ((program.low[variable], program.high[variable], cents) for variable, cents in program.objective.items())
    return program.constant + sum(min(cents * low, cents * high) for low, high, cents in ends)
