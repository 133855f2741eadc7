"""Which jobs are planned anew together while all others stay: those of some days or tables, of one kit, of the same pieces."""

from __future__ import annotations

import random
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass

from solver.model.week.week_variables import WeekVariables
from solver.week.values import Assignment

FEWEST, MOST = 8, 16
"""How many jobs are planned anew at a time."""


@dataclass(frozen=True, slots=True)
class _Standing:
    """A week as it stands: assignments by job, and the jobs that could use each set-up which several could."""

    length: int
    done: dict[str, Assignment]
    first: dict[str, int]
    users: list[set[str]]
    chance: random.Random


def neighbours(made: WeekVariables, there: Sequence[Assignment], chance: random.Random) -> Iterator[set[str]]:
    """Yield the ids of jobs to be planned anew together, again and again; those left over are always among them."""
    done = {each.job: each for each in there}
    waiting = {job.id for job in made.week.jobs if job.id not in done}
    users = [{each.job.id for each in made.by_kit[kit]} for kit in made.stands]
    first = {id: made.week.number(each.first) for id, each in done.items()}
    standing = _Standing(made.week.length, done, first, users, chance)
    while True:
        order = _ORDERS[chance.randrange(len(_ORDERS))](standing)
        count = chance.randint(FEWEST, MOST)
        yield waiting | set(sorted(done, key=lambda id: (order(id), chance.random()))[:count])


Order = Callable[[str], tuple[float, ...]]


def _near_in_days(there: _Standing) -> Order:
    middle = there.chance.randrange(there.length)
    return lambda id: (abs(there.first[id] - middle),)


def _of_two_tables(there: _Standing) -> Order:
    tables = sorted({each.choice.set_up.table for each in there.done.values()})
    own, middle = set(there.chance.sample(tables, min(2, len(tables)))), there.chance.randrange(there.length)
    return lambda id: (there.done[id].choice.set_up.table not in own, abs(there.first[id] - middle))


def _of_a_kit(there: _Standing) -> Order:
    own = there.chance.choice(there.users) if there.users else set()
    middle = there.chance.randrange(there.length)
    return lambda id: (id not in own, abs(there.first[id] - middle))


def _of_pieces(there: _Standing) -> Order:
    ids = sorted(there.done)
    pieces = there.done[there.chance.choice(ids)].choice.set_up.pieces if ids else {}
    return lambda id: (-sum(item in pieces for item in there.done[id].choice.set_up.pieces),)


_ORDERS: tuple[Callable[[_Standing], Order], ...] = (_near_in_days, _of_two_tables, _of_a_kit, _of_a_kit, _of_pieces)
