"""What a fitter prefers among fixtures at one price, the first of these first: true, tidy, handy.

In words: the price is held at its least and what a tier wishes is made as small as it can be; that is then held too, and the next
tier is asked. The price never changes by it.
Formula: for each tier t in order: minimise w_t(x) with price(x) <= least and w_s(x) <= least w_s for all tiers s before it.
Source: 3-2-1 locating and tidy setting up (common practice, no source).
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace

from solver.deadline import look
from solver.model.preferences import handy, tidy, true
from solver.model.program import Program
from solver.model.variables import Variables
from solver.position.problem import Problem

TIERS: tuple[Callable[[Program, Variables, Problem], None], ...] = (true.wish, tidy.wish, handy.wish)
"""Each adds to an empty objective what it wishes to be small."""


def preferring(program: Program, variables: Variables, problem: Problem, cents: int, held: Sequence[int] = ()) -> Program:
    """Return a copy of a program that asks for what is wished first at a price of at most `cents`.

    `held`: what the first tiers are held to; then the tier after them is asked.
    """
    copy = replace(program.copy(), objective={}, constant=0)
    copy.row("price", program.objective.items(), high=cents - program.constant)
    for tier, most in zip(TIERS, held, strict=False):
        look()
        tier(copy, variables, problem)
        copy.row("preferred", copy.objective.items(), high=most)
        copy.objective = {}
    look()
    TIERS[len(held)](copy, variables, problem)
    return copy
