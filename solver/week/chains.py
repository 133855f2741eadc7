"""Jobs with their days as assignments: which set-up stays for the next job, and from when each kit is held."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Iterable
from dataclasses import dataclass
from datetime import timedelta

from solver.week.spells import Spell
from solver.week.values import Assignment, KitChoice, Week


@dataclass(frozen=True, slots=True)
class Done:
    """A job, its kit and its days."""

    job: str
    choice: KitChoice
    spell: Spell


def assignments_of(week: Week, done: Iterable[Done], stood: Callable[[str, int], bool]) -> tuple[Assignment, ...]:
    """Return assignments in the order of the week's jobs; `stood(kit, day)` says whether a set-up stands on a day."""
    by_kit: dict[str, list[Done]] = defaultdict(list)
    for each in done:
        by_kit[each.choice.set_up.kit].append(each)
    made: dict[str, Assignment] = {}
    for kit, own in by_kit.items():
        own.sort(key=lambda each: each.spell.first)
        for k, each in enumerate(own):
            first, last = week.day(each.spell.first), week.day(each.spell.last)
            before = own[k - 1] if k else None
            if before is None or not all(stood(kit, day) for day in range(before.spell.last + 1, each.spell.first)):
                made[each.job] = Assignment(each.job, each.choice, first, last)
            else:
                held = week.day(before.spell.last) + timedelta(days=1)
                made[each.job] = Assignment(each.job, each.choice, first, last, before.job, held)
    return tuple(made[job.id] for job in week.jobs if job.id in made)
