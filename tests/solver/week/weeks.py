"""Weeks made up for tests: set-ups that fill a table or part of it, a few pieces, days with gaps."""

from __future__ import annotations

import random
from datetime import date, timedelta

from solver.week.room import EVERYWHERE, NeededRoom
from solver.week.values import KitChoice, SetUp, Week, WeekJob

MONDAY = date(2027, 3, 1)


def workdays(count: int, first: date = MONDAY) -> tuple[date, ...]:
    """So many working days from a day on, Saturdays and Sundays left out."""
    days = (first + timedelta(days=k) for k in range(3 * count + 7))
    return tuple([day for day in days if day.weekday() < 5][:count])


def kit(
    name: str = "kit", table: str = "T1", pieces: dict[str, int] | None = None, setup: int = 1000, cycle: int = 5000,
    a_day: int = 0, room: NeededRoom = EVERYWHERE, load: float | None = None, rank: int = 1,
) -> KitChoice:  # fmt: skip
    """A kit on a table."""
    taken = {"stop": 2} if pieces is None else pieces
    return KitChoice(rank, SetUp(f"{table}:{name}", table, 0, 0, room, taken, a_day, load), setup, cycle)


def job(id: str, *choices: KitChoice, release: int = 0, due: int = 30, days: int = 1, late: int = 0) -> WeekJob:
    """A job; release and due in calendar days from the first Monday."""
    return WeekJob(id, MONDAY + timedelta(days=release), MONDAY + timedelta(days=due), days, late, choices)


def week(*jobs: WeekJob, days: int = 5, free: dict[str, int] | None = None, tables: tuple[str, ...] = ("T1",)) -> Week:
    """A week of working days with so many pieces free on each."""
    listed = workdays(days)
    length = (listed[-1] - listed[0]).days + 1
    counts = {"stop": 8} if free is None else free
    return Week(listed, jobs, {item: (count,) * length for item, count in counts.items()}, dict.fromkeys(tables))


def random_week(seed: int) -> Week:
    """A small week: two to four jobs, one or two tables, kits that often are the same, halves of tables, pieces that run short."""
    chance = random.Random(seed)
    tables = ("T1", "T2")[: chance.randint(1, 2)]
    first = MONDAY + timedelta(days=chance.choice((0, 3)))
    listed = workdays(chance.randint(2, 5), first)
    length = (listed[-1] - listed[0]).days + 1
    rooms = (EVERYWHERE, EVERYWHERE, NeededRoom(0, 0, 500, 900), NeededRoom(500, 0, 1000, 900))
    kits = [
        (chance.choice(tables), chance.choice(rooms), {item: chance.randint(1, 2) for item in chance.sample(("stop", "riser"), chance.randint(1, 2))},
         chance.choice((0, 50, 400)), chance.choice((None, 60.0, 120.0)))
        for _ in range(3)
    ]  # fmt: skip
    jobs = []
    for number in range(chance.randint(2, 4)):
        choices = []
        for rank, which in enumerate(chance.sample(range(3), chance.randint(1, 2)), 1):
            table, room, pieces, a_day, load = kits[which]
            set_up = SetUp(f"k{which}", table, 0, 0, room, pieces, a_day, load)
            choices.append(
                KitChoice(rank, set_up, chance.choice((0, 600, 1500)), chance.randint(0, 900), 0, chance.randint(0, 40))
            )
        jobs.append(
            WeekJob(
                f"j{number}", first + timedelta(days=chance.randint(-1, 3)), first + timedelta(days=chance.randint(-2, 6)),
                chance.randint(1, 2), chance.choice((0, 300, 2000)), tuple(choices),
            )
        )  # fmt: skip
    free = {item: tuple(chance.randint(2, 6) for _ in range(length)) for item in ("stop", "riser")}
    return Week(listed, tuple(jobs), free, dict.fromkeys(tables, chance.choice((None, 150.0))))


def full_week(seed: int, jobs: int = 30, days: int = 20) -> Week:
    """Four tables and invented kits of 15 items, five a job, two in five of them half a table wide; jobs of one to three days."""
    chance = random.Random(seed)
    listed, tables = workdays(days), ("T1", "T2", "T3", "T4")
    length = (listed[-1] - listed[0]).days + 1
    items = [f"i{k}" for k in range(15)]
    kinds = [
        [each for rank in range(1, 6) for each in _invented(chance, f"{k}.{rank}", rank, tables, items)]
        for k in range(jobs * 2 // 3)
    ]
    made = []
    for number in range(jobs):
        choices, release, takes = chance.choice(kinds), chance.randint(0, length // 2), chance.randint(1, 3)
        due, late = release + takes + chance.randint(0, 6), chance.choice((0, 500, 2000, 10000))
        made.append(job(f"j{number}", *choices, release=release, due=due, days=takes, late=late))
    free = {item: tuple(chance.randint(8, 16) for _ in range(length)) for item in items}
    return Week(listed, tuple(made), free, dict.fromkeys(tables, 400.0))


def _invented(chance: random.Random, name: str, rank: int, tables: tuple[str, ...], items: list[str]) -> list[KitChoice]:
    pieces = {item: chance.randint(1, 6) for item in chance.sample(items, 5)}
    home, half = chance.randrange(4), chance.random() < 0.4
    stand = tables[home : home + 1] if chance.random() < 0.5 else tables[home // 2 * 2 : home // 2 * 2 + 2]
    wide, high = chance.uniform(300, 790) if half else chance.uniform(400, 1500), chance.uniform(300, 900)
    a_day, load = sum(count * chance.randint(20, 60) for count in pieces.values()), float(chance.randint(50, 150))
    setup, cycle = chance.randint(500, 4000), chance.randint(2000, 30000)
    return [
        kit(f"{name}.{left:g}", table, pieces, setup, cycle, a_day, NeededRoom(left, 0, left + wide, high), load, rank)
        for table in stand
        for left in ((0.0, 1600 - wide) if half else (0.0,))
    ]
