"""The variables of a week: a binary for each way to do a job; whether a set-up stands that more than one job could use.

In words: a doing says that a job is done with a kit from a first to a last day. A set-up that only one job can use stands just
while that job is done. One that several can use may stand on between them: `stands` says on which days, `sets` that it is set on
a day for a job although it did not stand on the day before.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field

from solver.model.program import Program, Term
from solver.week.prices import late_cents, left_over_cents
from solver.week.spells import Spell, choices_of
from solver.week.values import KitChoice, SetUp, Week, WeekJob


@dataclass(frozen=True, slots=True)
class Doing:
    """A way to do a job: its kit, its days, and the variable that says so."""

    job: WeekJob
    choice: KitChoice
    spell: Spell
    variable: int


@dataclass
class WeekVariables:
    """All variables, and what is done by each."""

    week: Week
    program: Program
    doings: list[Doing] = field(default_factory=list)
    by_kit: dict[str, list[Doing]] = field(default_factory=dict)
    stands: dict[str, list[int]] = field(default_factory=dict)
    sets: dict[tuple[str, int, int], int] = field(default_factory=dict)
    """By set-up, day and price of setting it, cents."""

    @property
    def set_ups(self) -> Iterator[SetUp]:
        """Every set-up that some job could use, once each."""
        for doings in self.by_kit.values():
            yield doings[0].choice.set_up

    def of_job(self, job: WeekJob) -> list[int]:
        """Return the variables of every way to do a job."""
        return [each.variable for each in self.doings if each.job.id == job.id]

    def standing(self, kit: str, day: int) -> list[Term]:
        """Return the terms whose sum says whether a set-up stands on a day."""
        if kit in self.stands:
            return [(self.stands[kit][day], 1)]
        return [(each.variable, 1) for each in self.by_kit[kit] if each.spell.first <= day <= each.spell.last]


def week_variables(week: Week) -> WeekVariables:
    """Return the variables of a week, with what each of them costs; a job that is not done costs what it is left over with."""
    made = WeekVariables(week, Program())
    program = made.program
    for job in week.jobs:
        for choice, spell in choices_of(week, job):
            doing = Doing(job, choice, spell, program.variable())
            made.doings.append(doing)
            made.by_kit.setdefault(choice.set_up.kit, []).append(doing)
    for kit, doings in made.by_kit.items():
        if len({each.job.id for each in doings}) > 1:
            made.stands[kit] = [program.variable() for _ in range(week.length)]
    _price(made)
    return made


def _price(made: WeekVariables) -> None:
    week, program = made.week, made.program
    program.cost({}, sum(left_over_cents(week, job) for job in week.jobs))
    for each in made.doings:
        cents = each.choice.run_cents + late_cents(each.job, week.day(each.spell.last)) - left_over_cents(week, each.job)
        if each.choice.set_up.kit not in made.stands:
            cents += each.choice.setup_cents + each.choice.set_up.day_cents * len(each.spell.days)
        program.cost({each.variable: cents})
    for kit, days in made.stands.items():
        program.cost(dict.fromkeys(days, made.by_kit[kit][0].choice.set_up.day_cents))
