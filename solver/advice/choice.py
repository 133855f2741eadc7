"""The purchases of least total cost over the kits known: one program over all jobs at once.

Variables: pieces bought of each item; for each job one of its kits, or to do it as today. A kit needs its pieces on the shelf,
kit - free <= bought, for each job and item; the spend stays within the budget. Solved in whole numbers it is the choice; solved
in fractions, its shadow prices say what a piece of each item is worth to each job, and so where to look for better kits.
A server starts without the solver of such programs: the functions that ask it import it.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from inventory.shapes import Array
from solver.advice.values import PricedKit, Task, Today, missing, prices_of

MOST_EXTRA = 12
"""Most pieces bought of one item."""


@dataclass(frozen=True, slots=True)
class ShadowPrices:
    """Shadow prices, cents: what one more piece of an item is worth to each job over all its runs, and a cent more of budget."""

    pieces: tuple[Mapping[str, float], ...]
    budget: float


@dataclass(frozen=True, slots=True)
class PurchaseProgram:
    """The program in matrices: minimise cost x; `use` x = 1 (one row a job); `need` x <= 0; spend x <= budget."""

    items: tuple[str, ...]
    cost: Array
    use: Array
    need: Array
    need_of: tuple[tuple[int, str], ...]
    spend: Array
    most: Array
    budget_cents: int


def program(
    tasks: Sequence[Task], kits: Sequence[Sequence[PricedKit]], now: Sequence[Today], budget_cents: int
) -> PurchaseProgram:
    """Return the program over the kits known."""
    prices = prices_of(tasks)
    short = [[missing(kit, task.stock, {}) for kit in some] for task, some in zip(tasks, kits, strict=True)]
    items = tuple(sorted({item for each in short for needs in each for item in needs}))
    choices = [(index, place) for index, some in enumerate(kits) for place in range(len(some))]
    first_kit, first_task = len(items), len(items) + len(choices)
    width = first_task + len(tasks)
    # A job left undone costs more than everything else together: money goes first to what makes jobs possible.
    as_today = [today.total(task.times) for task, today in zip(tasks, now, strict=True)]
    worst = [max([task.times * kit.cents for kit in some], default=0) for task, some in zip(tasks, kits, strict=True)]
    undone = 1 + sum(worst) + sum(cents or 0 for cents in as_today)
    cost, spend = np.zeros(width), np.zeros(width)
    # So small a share of the price settles ties in favour of spending less, and nothing else.
    cost[:first_kit] = [prices[item] * 1e-6 for item in items]
    spend[:first_kit] = [prices[item] for item in items]
    cost[first_kit:first_task] = [tasks[index].times * kits[index][place].cents for index, place in choices]
    cost[first_task:] = [undone if cents is None else cents for cents in as_today]
    use = np.zeros((len(tasks), width))
    need = np.zeros((len(tasks) * len(items), width))
    need_of = tuple((index, item) for index in range(len(tasks)) for item in items)
    for column, (index, place) in enumerate(choices, first_kit):
        use[index, column] = 1
        for bought, item in enumerate(items):
            need[index * len(items) + bought, column] = short[index][place].get(item, 0)
    for index in range(len(tasks)):
        use[index, first_task + index] = 1
        need[index * len(items) + np.arange(len(items)), np.arange(len(items))] = -1
    most = np.concatenate([np.full(len(items), float(MOST_EXTRA)), np.ones(width - len(items))])
    return PurchaseProgram(items, cost, use, need, need_of, spend, most, budget_cents)


def chosen(tasks: Sequence[Task], kits: Sequence[Sequence[PricedKit]], now: Sequence[Today], budget_cents: int) -> dict[str, int]:
    """Return the purchases, pieces by item, of least total cost; ties go to the smaller spend."""
    from scipy.optimize import Bounds, LinearConstraint, milp

    asked = program(tasks, kits, now, budget_cents)
    rows = np.vstack([asked.use, asked.need, asked.spend])
    ones, needs = np.ones(len(asked.use)), len(asked.need)
    low = np.concatenate([ones, np.full(needs + 1, -np.inf)])
    high = np.concatenate([ones, np.zeros(needs), [float(budget_cents)]])
    whole = np.ones(len(asked.cost), dtype=np.int64)
    found = milp(asked.cost, constraints=LinearConstraint(rows, low, high), bounds=Bounds(0, asked.most), integrality=whole)
    if found.x is None:
        raise RuntimeError(f"buying nothing is always possible, yet no choice was found: {found.message}")
    counts = {item: round(float(found.x[bought])) for bought, item in enumerate(asked.items)}
    return {item: count for item, count in counts.items() if count}


def shadow_prices(
    tasks: Sequence[Task], kits: Sequence[Sequence[PricedKit]], now: Sequence[Today], budget_cents: int
) -> ShadowPrices:
    """Return what pieces are worth to each job, from the program in fractions; items no kit misses are worth nothing yet."""
    from scipy.optimize import linprog

    asked = program(tasks, kits, now, budget_cents)
    below, limits = np.vstack([asked.need, asked.spend]), np.append(np.zeros(len(asked.need)), float(budget_cents))
    found = linprog(
        asked.cost,
        A_ub=below,
        b_ub=limits,
        A_eq=asked.use,
        b_eq=np.ones(len(asked.use)),
        bounds=[(0.0, float(most)) for most in asked.most],
        method="highs",
    )
    if found.x is None:
        raise RuntimeError(f"buying nothing is always possible, yet no prices were found: {found.message}")
    *pieces, budget = (max(0.0, -float(value)) for value in found.ineqlin.marginals)
    of_task: list[dict[str, float]] = [{} for _ in tasks]
    for (index, item), value in zip(asked.need_of, pieces, strict=True):
        of_task[index][item] = value
    return ShadowPrices(tuple(of_task), budget)


def floor_cents(
    tasks: Sequence[Task],
    now: Sequence[Today],
    charged: Sequence[Mapping[str, int]],
    least: Sequence[int],
    budget: float,
    cents: int,
) -> float:
    """Return a total below which no purchase within the budget of `cents` can bring all jobs together.

    Parameters
    ----------
    charged : sequence of mapping
        What each job was charged for a missing piece of each item in one run, cents; items not named: nothing.
    least : sequence of int
        The least cost of one run of each job at those charges, proved.
    budget : float
        What a cent of budget was taken to be worth.

    Notes
    -----
    Lagrange's bound: the jobs' least costs at the charges, less what the budget and the limit on pieces could pay back.
    """
    prices = prices_of(tasks)
    alone = 0.0
    for task, today, each in zip(tasks, now, least, strict=True):
        as_today = today.total(task.times)
        alone += task.times * each if as_today is None else min(task.times * each, as_today)
    paid: dict[str, float] = {}
    for task, charges in zip(tasks, charged, strict=True):
        for item, charge in charges.items():
            paid[item] = paid.get(item, 0.0) + task.times * charge
    beyond = sum(MOST_EXTRA * max(0.0, total - budget * prices[item]) for item, total in paid.items())
    return alone - budget * cents - beyond
