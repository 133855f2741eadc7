"""The objective: the price of a fixture in whole cents, with the contract's own rounding.

Setup and cycle are rounded up to whole seconds and their prices half up to whole cents, so both are variables held up by
rows; tie-up, shortage and weights add per piece.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from fractions import Fraction

from solver.cost import Tariff, tariff
from solver.model.program import Program
from solver.model.variables import Variables
from solver.position.problem import Problem

LARGEST = 2**30
"""No row's activity goes beyond this."""


def post(program: Program, variables: Variables, problem: Problem) -> None:
    """Add the objective and the rows that carry its rounding."""
    rates = tariff(problem.request)
    times = [problem.times[id(candidate.stack)] for candidate in problem.candidates]
    direct = {}
    for stack, entry in zip(variables.candidates, times, strict=True):
        direct[stack] = rates.days * entry.day_cents + entry.weight_cents
    for item, buy in variables.buy.items():
        direct[buy] = problem.stock.items[item].price_cents
    program.cost(direct)
    setup = [(stack, entry.setup_s) for stack, entry in zip(variables.candidates, times, strict=True)]
    cycle = [(stack, entry.cycle_s) for stack, entry in zip(variables.candidates, times, strict=True) if entry.cycle_s]
    cycle += [(pull, times[index].pull_s) for index, pull in variables.pull.items() if times[index].pull_s]
    _timed(program, setup, rates.setup_fixed_s, rates.setup_share, rates.cents_per_s)
    _timed(program, cycle, rates.cycle_fixed_s, rates.cycle_share, rates.cents_per_s * rates.quantity)


@dataclass(frozen=True, slots=True)
class MovingCost:
    """A re-plan's price: cents to move all kept pieces, cents a piece, and how many each candidate leaves as they stand."""

    all_cents: int
    piece_cents: int
    staying: tuple[int, ...]


def post_moving(program: Program, variables: Variables, standing: MovingCost) -> None:
    """Add what a re-plan pays for kept pieces that do not stay: the rule book's weights.moved_piece for each."""
    stays = zip(variables.candidates, standing.staying, strict=True)
    program.cost({stack: -standing.piece_cents * count for stack, count in stays if count}, standing.all_cents)


def _timed(program: Program, terms: list[tuple[int, Fraction]], fixed: Fraction, share: Fraction, cents_per_s: Fraction) -> None:
    """Add ``cents = half_up(ceil((fixed + sum) * share) * cents_per_s)`` to the objective."""
    if not terms:
        program.cost({}, math.floor(math.ceil(fixed * share) * cents_per_s + Fraction(1, 2)))
        return
    shared = [(variable, seconds * share) for variable, seconds in terms]
    scale = math.lcm((fixed * share).denominator, *(seconds.denominator for _, seconds in shared))
    base = fixed * share
    most = math.ceil(base + sum(seconds for _, seconds in shared))
    least = math.ceil(base)
    whole = program.variable(least, most)
    program.row(
        "time",
        [(whole, scale), *((variable, -int(seconds * scale)) for variable, seconds in shared)],
        low=math.ceil(base * scale),
    )
    up, down = cents_per_s.numerator * 2, cents_per_s.denominator * 2
    if max(up * most, down * math.ceil(cents_per_s * most)) > LARGEST:
        program.cost({whole: math.floor(cents_per_s)})
        return
    cents = program.variable(math.floor(cents_per_s * least), math.ceil(cents_per_s * most) + 1)
    # cents >= seconds * rate - 1/2, so the least whole number is the price rounded half up (but for exact halves, below)
    program.row("price", [(cents, down), (whole, -up)], low=-(down // 2) + 1)
    program.cost({cents: 1})


def rounding_slack(rates: Tariff) -> int:
    """Return how many cents the objective may lie under the true price: more than 0 only for very long runs."""
    return 0 if 2 * rates.cents_per_s.numerator * rates.quantity * 4000 <= LARGEST else 4000
