"""Why a job is left over, and what would let it in with all others where they are: tried, cheapest first."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence

from solver.week.prices import assignment_cost, left_over_cents
from solver.week.shelf_days import ShelfDays
from solver.week.spells import spells
from solver.week.values import Assignment, Hurdle, LeftOverJob, Week, WeekJob, WeekRemedy

MOST_REMEDIES = 5


def left_over_job(week: Week, job: WeekJob, there: Sequence[Assignment], price_of: Mapping[str, int]) -> LeftOverJob:
    """Return why a job finds no days among the others, and what would help."""
    cents = left_over_cents(week, job)
    if not job.choices:
        return LeftOverJob(job.id, cents, (Hurdle("no_plan", "there is no plan for it"),))
    taken = ShelfDays(week, there)
    helps: dict[object, WeekRemedy] = {}
    for each in _remedies(week, job, taken, price_of):
        kept = helps.get(_key(each))
        if kept is None or _order(each) < _order(kept):
            helps[_key(each)] = each
    return LeftOverJob(
        job.id, cents, tuple(_hurdles(week, job, taken)), tuple(sorted(helps.values(), key=_order)[:MOST_REMEDIES])
    )


def _key(remedy: WeekRemedy) -> object:
    """Return what tells remedies apart: of those that ask the same of the shop, the cheapest is said."""
    return remedy.do, tuple(sorted(remedy.buy.items())), remedy.release, remedy.then.choice.set_up.table


def _order(remedy: WeekRemedy) -> tuple[int, int, str, str]:
    return remedy.price_cents + remedy.then_cents, remedy.price_cents, remedy.do, remedy.then.first.isoformat()


def _hurdles(week: Week, job: WeekJob, taken: ShelfDays) -> Iterator[Hurdle]:
    """Yield what stands in the way, over all days and kits."""
    ways = [(choice, spell) for choice in job.choices for spell in spells(week, job)]
    if not ways:
        left = sum(day >= job.release for day in week.days)
        yield Hurdle("days", f"it takes {job.days} days, and {left} of the week's are left from {job.release.isoformat()} on")
        return
    shut = {"table": 0, "pieces": 0, "both": 0}
    least: dict[str, int] = {}
    for choice, spell in ways:
        room, short = taken.room_for(choice.set_up, spell), taken.short(choice.set_up, spell)
        shut["both" if short and not room else "pieces" if short else "table"] += 1
        for item, count in short.items():
            least[item] = min(count, least.get(item, count))
    tables = ", ".join(sorted({choice.set_up.table for choice, _ in ways}))
    of = f"of {len(ways)} ways to place it"
    if shut["table"]:
        yield Hurdle("table", f"{shut['table']} {of} find their table taken ({tables})")
    if shut["pieces"]:
        missing = ", ".join(f"{item} ({count} or more)" for item, count in sorted(least.items()))
        yield Hurdle("pieces", f"{shut['pieces']} {of} find too few pieces: {missing}")
    if shut["both"]:
        yield Hurdle("both", f"{shut['both']} {of} find neither their table nor all pieces")


def _remedies(week: Week, job: WeekJob, taken: ShelfDays, price_of: Mapping[str, int]) -> Iterator[WeekRemedy]:
    """Yield what was tried and works."""
    for choice in job.choices:
        for spell in spells(week, job, early=True):
            there = Assignment(job.id, choice, week.day(spell.first), week.day(spell.last))
            cents = assignment_cost(job, there).total_cents
            early = there.first < job.release
            short = taken.short(choice.set_up, spell)
            if taken.room_for(choice.set_up, spell):
                if early and not short:
                    yield WeekRemedy("release", there, cents, release=there.first)
                elif not early and short and all(item in price_of for item in short):
                    price = sum(price_of[item] * count for item, count in short.items())
                    yield WeekRemedy("buy", there, cents, price, short)
            elif not early and not short:
                yield WeekRemedy("table", there, cents)
