"""The price of a choice of stacks, by the rule book's own words and exact fractions."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Sequence
from fractions import Fraction

from inventory.stock import StockSnapshot
from solver.request import Request
from tests.oracle.stacks import Stack


def exact(number: float) -> Fraction:
    """Return a decimal number as it was written."""
    return Fraction(str(number))


def half_up(amount: Fraction) -> int:
    """Return the nearest whole number, halves upward."""
    return math.floor(amount + Fraction(1, 2))


def free(request: Request, stock: StockSnapshot, item: str) -> int:
    """Return how many pieces of an item may be used."""
    return max(0, stock.free(item) - request.without.items.get(item, 0))


def _setup(request: Request, stack: Stack) -> Fraction:
    rules, total = request.rules, Fraction(0)
    for depth, level in enumerate(stack.levels):
        total += exact(rules["time.pick_s"]) + exact(level.item.place_s)
        total += exact(level.item.set_s) if level.item.slide is not None else 0
        total += exact(rules["time.stack_s"]) if depth else 0
    return total


def _cycle(stack: Stack) -> Fraction:
    clamp = stack.top.clamp
    return Fraction(0) if clamp is None else exact(clamp.close_s) + exact(clamp.open_s)


def _weights(request: Request, stock: StockSnapshot, stack: Stack) -> int:
    rules = request.rules
    return sum(
        (half_up(exact(rules["weights.adjustable"])) if level.item.slide is not None else 0)
        + half_up(exact(rules["weights.scarce"]) / max(1, free(request, stock, level.item.id)))
        for level in stack.levels
    )


def lines(request: Request, stock: StockSnapshot, stacks: Sequence[Stack]) -> dict[str, int]:
    """Return all lines of the price, and the seconds of setup and cycle."""
    rules, parts = request.rules, len(request.weldment.parts)
    setup = exact(rules["time.walk_s"]) + exact(rules["time.check_s"]) * parts + sum(_setup(request, stack) for stack in stacks)
    setup_s = math.ceil(setup * (exact(rules["time.repeat_ratio"]) if request.set_before else 1))
    cycle = exact(rules["time.load_s"]) * parts + exact(rules["time.unload_s"]) + sum(_cycle(stack) for stack in stacks)
    cycle_s = math.ceil(cycle)
    rate = exact(rules["rate.labour_cents_per_hour"]) / 3600
    used = Counter(item for stack in stacks for item in stack.items)
    missing = {item: count - free(request, stock, item) for item, count in used.items() if request.shortage == "price"}
    cost = {
        "setup_cents": half_up(setup_s * rate),
        "cycle_cents": half_up(request.quantity * cycle_s * rate),
        "tie_up_cents": sum(level.item.day_rate_cents for stack in stacks for level in stack.levels) * request.days,
        "shortage_cents": sum(stock.items[item].price_cents * max(0, count) for item, count in missing.items()),
        "weights_cents": sum(_weights(request, stock, stack) for stack in stacks),
    }
    return {"total_cents": sum(cost.values()), **cost, "setup_s": setup_s, "cycle_s": cycle_s}


def share_of(request: Request, stock: StockSnapshot, stack: Stack) -> float:
    """Return about what a stack adds to the price, cents."""
    rate = float(exact(request.rules["rate.labour_cents_per_hour"]) / 3600)
    setup = float(_setup(request, stack)) * (request.rules["time.repeat_ratio"] if request.set_before else 1.0)
    days = sum(level.item.day_rate_cents for level in stack.levels) * request.days
    return rate * (setup + request.quantity * float(_cycle(stack))) + days + _weights(request, stock, stack)


def base_price(request: Request) -> float:
    """Return about what every fixture costs before anything stands, cents."""
    rules, parts = request.rules, len(request.weldment.parts)
    rate = float(exact(rules["rate.labour_cents_per_hour"]) / 3600)
    setup = (rules["time.walk_s"] + rules["time.check_s"] * parts) * (rules["time.repeat_ratio"] if request.set_before else 1.0)
    return rate * (setup + request.quantity * (rules["time.load_s"] * parts + rules["time.unload_s"]))
