"""What should we buy: the few pieces that, within a budget, lower the total cost of many jobs most.

Every figure comes from a plan. Each plan does a job with a kit, at a cost. An integer program chooses at once what to buy
and one kit for each job that shelf and purchases can hold. Solved in fractions, it says what a piece of each item is worth to
each job; at those charges the jobs are planned again, which shows the kits that would improve the choice, until there are none.
The choice is planned once more with its pieces on the shelf. Last, each piece is left out once and the jobs are planned again:
what they then cost more is its saving, and a piece that saves nothing is not bought.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence

from solver.advice.choice import chosen, floor_cents, shadow_prices
from solver.advice.known_kits import KnownKits, TaskPlanner
from solver.advice.values import Advice, BuyLine, PricedKit, Task, TaskCost, Today, missing, prices_of
from solver.deadline import Deadline

__all__ = ["Advice", "BuyLine", "Task", "TaskCost", "TaskPlanner", "PricedKit", "advise"]

_ROUNDS = 12
"""Rounds of looking for better kits."""


def advise(tasks: Sequence[Task], budget_cents: int, *, planner: TaskPlanner, deadline: Deadline) -> Advice:
    """Return which few pieces bought within a budget lower the jobs' total cost most.

    Parameters
    ----------
    tasks : sequence of Task
        Past or expected jobs. Each sees the shelf of its own days; a piece bought serves all of them, one after the other.
    budget_cents : int
        Most that may be spent, cents.
    planner : TaskPlanner
        Plans one request.
    deadline : Deadline
        When it is over, the best advice so far is returned.
    """
    known = KnownKits(tasks, planner, deadline)
    now = [known.today(index) for index in range(len(tasks))]
    least = _found_kits(known, now, budget_cents)
    buy, then, savings = _worth_it(known, now, _settled(known, now, budget_cents))
    prices = prices_of(tasks)
    costs = tuple(
        TaskCost(task.name, task.times, before.total(task.times), after, before.buys)
        for task, before, after in zip(tasks, now, then, strict=True)
    )
    lines = [BuyLine(item, count, prices[item], savings[item]) for item, count in sorted(buy.items())]
    return Advice(
        budget_cents=budget_cents,
        spent_cents=sum(line.count * line.price_cents for line in lines),
        saving_cents=sum(each.now_cents - (each.then_cents or 0) for each in costs if each.now_cents is not None),
        lines=tuple(sorted(lines, key=lambda line: -line.saving_cents / max(1, line.price_cents))),
        tasks=costs,
        least_cents=least,
        plans_made=known.plans_made,
        complete=known.complete,
    )


def _found_kits(known: KnownKits, now: Sequence[Today], budget_cents: int) -> int | None:
    """Look for kits that would improve the choice, until there are none; return the proved least total, None if there is none."""
    least: float | None = None
    charged: list[dict[str, int]] = [{} for _ in known.tasks]
    value = 0.0
    for turn in range(_ROUNDS):
        before = sum(map(len, known.kits))
        made = [known.planned(index, {}, charges) for index, charges in enumerate(charged)]
        totals = [each.total_cents for each in made if each is not None and each.proved]
        if len(totals) == len(known.tasks):
            bound = floor_cents(known.tasks, now, charged, totals, value, budget_cents)
            least = bound if least is None else max(least, bound)
        if turn and sum(map(len, known.kits)) == before:
            break
        prices = shadow_prices(known.tasks, known.kits, now, budget_cents)
        value = prices.budget
        # Charges are whole cents a run, rounded down: a piece is never held to be worth more than it is.
        charged = [
            {item: int(cents / task.times) for item, cents in each.items()}
            for task, each in zip(known.tasks, prices.pieces, strict=True)
        ]
    return None if least is None else math.ceil(least - 1e-6)


def _settled(known: KnownKits, now: Sequence[Today], budget_cents: int) -> dict[str, int]:
    """Choose, plan again with what was chosen, and choose again, until that shows no new kit."""
    buy = chosen(known.tasks, known.kits, now, budget_cents)
    for _ in range(_ROUNDS):
        before = sum(map(len, known.kits))
        for index in range(len(known.tasks)):
            known.planned(index, buy)
        if sum(map(len, known.kits)) == before:
            return buy
        buy = chosen(known.tasks, known.kits, now, budget_cents)
    known.complete = False
    return buy


def _worth_it(
    known: KnownKits, now: Sequence[Today], buy: Mapping[str, int]
) -> tuple[dict[str, int], list[int | None], dict[str, int]]:
    """Leave out, one at a time, pieces that save nothing; return the rest, the jobs' costs, and each item's saving a piece."""
    kept, prices = dict(buy), prices_of(known.tasks)
    while True:
        costs = _costs(known, now, kept)
        savings = {item: _more(_costs(known, now, _less(kept, item)), costs) for item in kept}
        idle = [item for item in kept if savings[item] <= 0]
        if not idle:
            return kept, _costs(known, now, kept), savings
        kept = _less(kept, max(idle, key=lambda item: prices[item]))


def _costs(known: KnownKits, now: Sequence[Today], extra: Mapping[str, int]) -> list[int | None]:
    """Return what all runs of each job cost with extra pieces on the shelf, planned again; None where it cannot be done."""
    costs: list[int | None] = []
    for index, (task, today) in enumerate(zip(known.tasks, now, strict=True)):
        known.planned(index, extra)
        held = [task.times * kit.cents for kit in known.kits[index] if not missing(kit, task.stock, extra)]
        as_today = today.total(task.times)
        costs.append(min([*held, *([] if as_today is None else [as_today])], default=None))
    return costs


def _more(without: Sequence[int | None], having: Sequence[int | None]) -> int:
    """Return what the jobs cost more without a piece; a job it makes possible counts as saving what that job costs."""
    pairs = [(worse, better) for worse, better in zip(without, having, strict=True) if better is not None]
    return sum(better + 1 if worse is None else worse - better for worse, better in pairs)


def _less(buy: Mapping[str, int], item: str) -> dict[str, int]:
    """Return purchases with one piece of an item less."""
    return {each: count - (each == item) for each, count in buy.items() if count - (each == item)}
