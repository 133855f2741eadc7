"""What a week has to keep to: a job once, a table's set-ups apart, its load, counted pieces, set-ups that stand on."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable

from solver.model.cliques import cover
from solver.model.week.week_variables import WeekVariables

GRAMS = 1000


def once(made: WeekVariables) -> None:
    """A job is done at most once."""
    jobs: dict[str, list[int]] = defaultdict(list)
    for each in made.doings:
        jobs[each.job.id].append(each.variable)
    for variables in jobs.values():
        made.program.at_most_one(variables)


def tables(made: WeekVariables) -> None:
    """Set-ups that are not apart do not stand on one table on one day."""
    for own in _by_table(made).values():
        rooms = [made.by_kit[kit][0].choice.set_up.room for kit in own]
        neighbours = [
            sum(1 << other for other, room in enumerate(rooms) if other == number or not room.apart(there))
            for number, there in enumerate(rooms)
        ]
        # A set-up that meets no other is a clique by itself: only one job uses it at a time.
        cliques = cover([around & ~(1 << number) for number, around in enumerate(neighbours)])
        lonely = [(number,) for number in range(len(own)) if neighbours[number] == 1 << number]
        for clique in [*cliques, *lonely]:
            for day in range(made.week.length):
                standing = [variable for number in clique for variable, _ in made.standing(own[number], day)]
                if len(standing) > 1:
                    made.program.at_most_one(standing)


def loads(made: WeekVariables) -> None:
    """What stands on a table together is no more than it carries; one set-up alone was planned for it."""
    for table, own in _by_table(made).items():
        most = made.week.most_kg[table]
        if most is None:
            continue
        limit = int(most * GRAMS)
        grams = {kit: min(limit, _grams(made.by_kit[kit][0].choice.set_up.load_kg, limit)) for kit in own}
        for day in range(made.week.length):
            terms = [(variable, grams[kit]) for kit in own for variable, _ in made.standing(kit, day) if grams[kit]]
            if sum(weight for _, weight in terms) > limit:
                made.program.row("load", terms, high=limit)


def pieces(made: WeekVariables) -> None:
    """No more pieces of an item are on tables on a day than are free."""
    takers: dict[str, list[str]] = defaultdict(list)
    for set_up in made.set_ups:
        for item in set_up.pieces:
            takers[item].append(set_up.kit)
    for item, kits in takers.items():
        free = made.week.pieces_free(item)
        for day in range(made.week.length):
            terms = [
                (variable, made.by_kit[kit][0].choice.set_up.pieces[item])
                for kit in kits
                for variable, _ in made.standing(kit, day)
            ]
            if sum(count for _, count in terms) > free[day]:
                made.program.row("pieces", terms, high=free[day])


def standing_on(made: WeekVariables) -> None:
    """A set-up stands while a job is done on it, and on from there; a job pays for setting it unless it stood the day before."""
    program = made.program
    for kit, days in made.stands.items():
        begun: dict[int, list[int]] = defaultdict(list)
        on: dict[int, list[int]] = defaultdict(list)
        sets: dict[tuple[int, int], list[int]] = defaultdict(list)
        for each in made.by_kit[kit]:
            begun[each.spell.first].append(each.variable)
            sets[each.spell.first, each.choice.setup_cents].append(each.variable)
            for day in each.spell.days:
                on[day].append(each.variable)
        for day, stands in enumerate(days):
            before = [(days[day - 1], -1)] if day else []
            program.row("stands", [*((variable, 1) for variable in on[day]), (stands, -1)], high=0)
            program.row("stands", [(stands, 1), *before, *((variable, -1) for variable in begun[day])], high=0)
        on_before: set[int] = set()
        for day in range(made.week.length):
            # What stood the day before and is not in use stands there for the next job.
            idle = [] if day == 0 else [(days[day - 1], -1)] + [(v, 1) for v in on[day] if v in on_before]
            on_before = set(on[day])
            settings = []
            for cents in sorted({cents for first, cents in sets if first == day}):
                setting = program.variable()
                settings.append((setting, -1))
                made.sets[kit, day, cents] = setting
                program.cost({setting: cents})
                program.row("sets", [*((v, 1) for v in sets[day, cents]), *idle, (setting, -1)], high=0)
            if len(settings) > 1:
                program.row("sets", [*((v, 1) for v in begun[day]), *idle, *settings], high=0)


FAMILIES: tuple[Callable[[WeekVariables], None], ...] = (once, tables, loads, pieces, standing_on)
"""Each adds its rows."""


def _by_table(made: WeekVariables) -> dict[str, list[str]]:
    found: dict[str, list[str]] = defaultdict(list)
    for set_up in made.set_ups:
        found[set_up.table].append(set_up.kit)
    return found


def _grams(load_kg: float | None, limit: int) -> int:
    """Return a load in whole grams, rounded up; what is not known takes all that a table carries."""
    return limit if load_kg is None else -int(-load_kg * GRAMS // 1)
