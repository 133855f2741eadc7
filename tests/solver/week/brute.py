"""Every week there is, tried one after another: what the planner is compared with. Shares none of its arithmetic."""

from __future__ import annotations

from collections import Counter
from datetime import date, timedelta
from itertools import product

from solver.week.values import KitChoice, Week, WeekJob

Stay = tuple[date, date]
Way = tuple[KitChoice, date, date]


def cheapest(week: Week) -> tuple[int, int]:
    """Return how few jobs can be left over, and the least price of a week that leaves so few."""
    best = (len(week.jobs) + 1, 0)
    for ways in product(*(_ways(week, job) for job in week.jobs)):
        waiting = sum(way is None for way in ways)
        if waiting > best[0]:
            continue
        found = _best_stays(week, ways)
        if found is not None:
            best = min(best, (waiting, found))
    return best


def _ways(week: Week, job: WeekJob) -> list[Way | None]:
    ways: list[Way | None] = [None]
    for k, first in enumerate(week.days):
        if first >= job.release and k + job.days <= len(week.days):
            ways += [(choice, first, week.days[k + job.days - 1]) for choice in job.choices]
    return ways


def _best_stays(week: Week, ways: tuple[Way | None, ...]) -> int | None:
    """Return the least price over all sets of set-ups that stay for the next job of their kit; None if nothing is allowed."""
    pairs = []
    for later, way in enumerate(ways):
        if way is None:
            continue
        earlier = [
            (other[2], k)
            for k, other in enumerate(ways)
            if other is not None and other[0].set_up.kit == way[0].set_up.kit and other[2] < way[1]
        ]
        if earlier:
            pairs.append((later, max(earlier)[1]))
    prices = [_price(week, ways, dict(chosen)) for chosen in _subsets(pairs)]
    allowed = [price for price in prices if price is not None]
    return min(allowed, default=None)


def _subsets(pairs: list[tuple[int, int]]) -> list[list[tuple[int, int]]]:
    return [[pair for k, pair in enumerate(pairs) if bits >> k & 1] for bits in range(1 << len(pairs))]


def _price(week: Week, ways: tuple[Way | None, ...], stays: dict[int, int]) -> int | None:
    cents = 0
    on_tables: dict[date, list[KitChoice]] = {}
    for number, (job, way) in enumerate(zip(week.jobs, ways, strict=True)):
        if way is None:
            alone = [c.setup_cents + c.run_cents + c.set_up.day_cents * job.days for c in job.choices]
            cents += min(alone) + job.late_cents_per_day * max(0, (week.days[-1] + timedelta(days=job.days) - job.due).days)
            continue
        choice, first, last = way
        start = first
        if number in stays:
            before = ways[stays[number]]
            assert before is not None
            start = before[2] + timedelta(days=1)
        else:
            cents += choice.setup_cents
        cents += choice.run_cents + job.late_cents_per_day * max(0, (last - job.due).days)
        day = start
        while day <= last:
            cents += choice.set_up.day_cents
            on_tables.setdefault(day, []).append(choice)
            day += timedelta(days=1)
    return cents if all(_allowed(week, day, standing) for day, standing in on_tables.items()) else None


def _allowed(week: Week, day: date, standing: list[KitChoice]) -> bool:
    taken: Counter[str] = Counter()
    for k, one in enumerate(standing):
        taken.update(one.set_up.pieces)
        for other in standing[k + 1 :]:
            if one.set_up.table == other.set_up.table:
                a, b = one.set_up.room, other.set_up.room
                if max(a.left, b.left) < min(a.right, b.right) and max(a.low, b.low) < min(a.high, b.high):
                    return False
    for table, most in week.most_kg.items():
        own = [one.set_up.load_kg for one in standing if one.set_up.table == table]
        if most is not None and len(own) > 1 and sum(most if load is None else load for load in own) > most:
            return False
    number = (day - week.days[0]).days
    return all(count <= week.free[item][number] for item, count in taken.items())
