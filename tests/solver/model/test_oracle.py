"""The proven price of a tiny job is the price that trying everything finds; what is refused has no fixture at all."""

from __future__ import annotations

import time
from collections.abc import Callable
from dataclasses import replace
from random import Random

import pytest

from inventory.stock import StockSnapshot
from solver.deadline import Deadline
from solver.planning import plan
from solver.request import Request
from tests.solver.model.enumeration import Budget, TooMany, cheapest
from tests.solver.model.tiny import tiny_job, tiny_pair
from tests.solver.model.tiny_special import TRAITS, tiny_pins, tiny_stack

LIMIT_S = 20.0
SPECIAL = (150_000, 120)
"""How many partial choices and checks a job with a trait may take."""
Job = Callable[[Random], tuple[Request, StockSnapshot]]


def agreed(job: Job, seed: int, most: tuple[int, int] = (400_000, 250)) -> bool:
    """Return whether a job was small enough to be tried out; its price must be the one claimed."""
    request, stock = job(Random(seed))
    # locators face to face are allowed: fewer choices fall to the checker
    request = replace(request, rules=replace(request.rules, changes={**request.rules.changes, "locate.opposed": 1.0}))
    end = time.process_time() + LIMIT_S
    answer = plan(request, stock, deadline=Deadline(lambda: end - time.process_time()))
    assert answer.work["dropped"] == 0, (job.__name__, seed)
    if answer.status not in ("optimal", "infeasible"):
        return False
    claimed = answer.alternatives[0].cost.total_cents if answer.alternatives else None
    try:
        found = cheapest(request, stock, claimed, Budget(*most))
    except TooMany:
        return False
    assert found == claimed, f"{job.__name__} {seed}: {claimed} cents claimed, {found} cents found by trying everything"
    return True


@pytest.mark.parametrize(("job", "seed"), [(tiny_job, seed) for seed in (3, 5, 6, 7, 8)])
def test_trying_everything_finds_the_proven_price(job: Job, seed: int) -> None:
    assert agreed(job, seed)


@pytest.mark.parametrize(("job", "seed"), [(tiny_stack, 0), (tiny_pins, 10)])
def test_trying_everything_finds_the_proven_price_of_jobs_with_a_trait(job: Job, seed: int) -> None:
    assert agreed(job, seed, SPECIAL)


@pytest.mark.slow
@pytest.mark.parametrize("job", TRAITS)
def test_trying_everything_finds_the_proven_price_of_many_jobs_with_a_trait(job: Job) -> None:
    """Stacks, arms, pins in holes and slots, V-blocks and settings; at least three in four must be small enough to be tried out."""
    assert sum(agreed(job, seed, SPECIAL) for seed in range(10, 50)) >= 30


@pytest.mark.slow
def test_trying_everything_finds_the_proven_price_of_two_hundred_and_more_jobs() -> None:
    """Jobs too large to be tried out are passed over; at least two hundred must be left."""
    decided = sum(agreed(tiny_job, seed, (100_000, 100)) for seed in range(100, 300))
    decided += sum(agreed(tiny_pair, seed) for seed in range(100, 150))
    assert decided >= 200
