"""The objective: the price of a fixture in whole cents, rounded as the price is.

In words: setup and cycle are rounded up to whole seconds and their prices half up to whole cents, so both are variables held
up by rows; tie-up, shortage and weights add per piece. The rows ask for no more and no less than the price, however long the
run: the whole cents of a second count second by second, what is left of it is rounded.
Formula: s >= (fixed + sum time_i x_i) share, whole;  2 q c >= 2 p s - q + 1, whole;  price = w s + c, where a second costs
w + p/q cents (w = 0 as long as all numbers stay small).
Source: the price as `solver.cost` states it.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction

from solver.cost import half_up, tariff
from solver.model.program import LARGEST, Program
from solver.model.variables import Variables
from solver.position.problem import Problem

Timed = tuple[Fraction, list[int]]
"""Seconds, and the variables that each add as many."""


@dataclass(frozen=True, slots=True)
class RunTerms:
    """What a variant adds beside the set-up's own pieces: settings that change, and pieces pulled each cycle."""

    changes: tuple[Timed, ...] = ()
    pulled: tuple[Timed, ...] = ()


def post(program: Program, variables: Variables, problem: Problem, runs: Sequence[RunTerms] = ()) -> None:
    """Add the objective and the rows that carry its rounding.

    Of variants whose `runs` are not given it has what they cost at least: nothing is set anew, nothing pulled.
    """
    rates = tariff(problem.request)
    direct: dict[int, int] = {}
    setup: list[Timed] = []
    cycle: list[Timed] = []
    pulled: list[Timed] = []
    for entry, indices in problem.priced:
        stacks = [variables.candidates[index] for index in indices]
        direct |= dict.fromkeys(stacks, rates.days * entry.day_cents + entry.weight_cents)
        setup.append((entry.setup_s, stacks))
        cycle.append((entry.cycle_s, stacks))
        pulled.append((entry.pull_s, [variables.pull[index] for index in indices if index in variables.pull]))
    for item, buy in variables.buy.items():
        direct[buy] = problem.stock.items[item].price_cents
    program.cost(direct)
    _timed(program, setup, rates.setup_fixed_s, rates.setup_share, rates.cents_per_s)
    _timed(program, [*cycle, *pulled], rates.cycle_fixed_s, rates.cycle_share, rates.cents_per_s * rates.quantity)
    for number, quantity in enumerate(rates.runs):
        own = runs[number] if runs else RunTerms()
        _timed(program, own.changes, rates.check_s, Fraction(1), rates.cents_per_s)
        _timed(program, [*cycle, *own.pulled], rates.cycle_fixed_s, rates.cycle_share, rates.cents_per_s * quantity)


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


def _timed(program: Program, terms: Sequence[Timed], fixed: Fraction, share: Fraction, cents_per_s: Fraction) -> None:
    """Add ``cents = half_up(ceil((fixed + sum) * share) * cents_per_s)`` to the objective."""
    shared = [(seconds * share, own) for seconds, own in terms if seconds and own]
    if not shared:
        program.cost({}, half_up(math.ceil(fixed * share) * cents_per_s))
        return
    base = fixed * share
    scale = math.lcm(base.denominator, *(seconds.denominator for seconds, _ in shared))
    least, most = math.ceil(base), math.ceil(base + sum(seconds * len(own) for seconds, own in shared))
    whole = program.variable(least, most)
    program.row(
        "time",
        [
            (whole, scale),
            *((variable, -units) for seconds, own in shared for units in [int(seconds * scale)] for variable in own),
        ],
        low=math.ceil(base * scale),
    )
    direct, rounded = 0, cents_per_s
    if 2 * max(rounded.numerator * most, rounded.denominator * math.ceil(rounded * most)) > LARGEST:
        direct = math.floor(cents_per_s)
        rounded = _at_most(cents_per_s - direct, 2 * most)
    up, down = rounded.numerator, rounded.denominator
    cents = program.variable(math.floor(rounded * least), math.ceil(rounded * most) + 1)
    # the least whole number with cents > rounded * whole - 1/2 is the price rounded half up, exact halves too
    program.row("price", [(cents, 2 * down), (whole, -2 * up)], low=1 - down)
    program.cost({cents: 1, whole: direct} if direct else {cents: 1})


def _at_most(value: Fraction, denominator: int) -> Fraction:
    """Return the largest fraction of at most a value, with at most a denominator.

    Its multiples round to the same whole numbers as the value's, up to half the denominator times: a multiple s is rounded up
    from (2 k - 1) / (2 s) on for some k, and no such fraction lies between the two.
    """
    near = value.limit_denominator(denominator)
    if near <= value:
        return near
    # the neighbour below, among fractions of such denominators
    below = pow(near.numerator, -1, near.denominator)
    below += (denominator - below) // near.denominator * near.denominator
    return Fraction((near.numerator * below - 1) // near.denominator, below)
