"""A first week at once: jobs one after another, each where it costs least; what better weeks are looked for from."""

from __future__ import annotations

import random
from collections.abc import Iterator, Sequence

from solver.week.chains import Done, assignments_of
from solver.week.prices import late_cents
from solver.week.shelf_days import ShelfDays
from solver.week.spells import Spell, choices_of
from solver.week.values import Assignment, KitChoice, Week, WeekJob

ORDERS = 12
"""In how many orders the jobs are tried."""
_Way = tuple[int, int, KitChoice, Spell]


def first_week(week: Week) -> tuple[Assignment, ...]:
    """Return a sound week: of some orders of the jobs, the one that leaves the fewest over, the cheapest of those."""
    ways = {
        job.id: sorted(
            ((_cents(week, job, choice, spell), k, choice, spell) for k, (choice, spell) in enumerate(choices_of(week, job))),
            key=lambda way: way[:2],
        )
        for job in week.jobs
    }
    placed = [_placed(week, order, ways) for order in _orders(week, ways)]
    best = min(placed, key=lambda done: (-len(done), sum(way[0] for way in done.values())))
    found = [Done(id, choice, spell) for id, (_, _, choice, spell) in best.items()]
    return assignments_of(week, found, lambda kit, day: False)


def _orders(week: Week, ways: dict[str, list[_Way]]) -> Iterator[Sequence[WeekJob]]:
    """Yield orders: by due day, by how few ways there are, by release, then at random."""
    yield sorted(week.jobs, key=lambda job: (job.due, -job.late_cents_per_day, job.id))
    yield sorted(week.jobs, key=lambda job: (len(ways[job.id]), job.id))
    yield sorted(week.jobs, key=lambda job: (job.release, job.due, job.id))
    chance, jobs = random.Random(week.seed), sorted(week.jobs, key=lambda job: job.id)
    for _ in range(ORDERS):
        yield chance.sample(jobs, len(jobs))


def _placed(week: Week, order: Sequence[WeekJob], ways: dict[str, list[_Way]]) -> dict[str, _Way]:
    taken, done = ShelfDays(week), {}
    for job in order:
        for way in ways[job.id]:
            if taken.fits(way[2].set_up, way[3]):
                taken.take(way[2].set_up, way[3])
                done[job.id] = way
                break
    return done


def _cents(week: Week, job: WeekJob, choice: KitChoice, spell: Spell) -> int:
    held = choice.set_up.day_cents * len(spell.days)
    return choice.setup_cents + choice.run_cents + held + late_cents(job, week.day(spell.last))
