"""Floor: what locators pay for a part is at least what its cheapest side and end cost.

In words: a redundant row that tells the linear relaxation what the whole numbers know. A piece's price is shared over all
the contacts it makes. Formula: sum price_i (contacts of i on p) / (contacts of i) x_i >= floor_p.
Source: model, lower bounds by part.

Example:

```text
   a square touches rail and tab: 8.00           cheapest side and end of rail: 9.50
   half of its price counts for rail: 4.00       row of rail: 4.00 x_square + 5.50 x_stop + ... >= 9.50
```
"""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Sequence

from solver.cost import tariff
from solver.model.program import Program, Term
from solver.model.variables import Variables
from solver.position.problem import Problem

TENTHS = 10


def post(program: Program, variables: Variables, problem: Problem, floors: Sequence[float]) -> None:
    """Add a row a part; `floors` in cents."""
    for floor, terms in zip(floors, shares(variables, problem) if floors else (), strict=True):
        if math.isfinite(floor) and floor > 0:
            program.row("floor", terms, in_tenths(floor))


def in_tenths(floor: float) -> int:
    """Return a floor as the rows count it, from cents."""
    return math.floor(TENTHS * floor)


def shares(variables: Variables, problem: Problem) -> list[list[Term]]:
    """Return for each part what of the locators' prices counts for it, in tenths of cents."""
    rates = tariff(problem.request)
    prices = [0.0] * len(problem.candidates)
    for entry, indices in problem.priced:
        price = entry.cents(rates)
        for index in indices:
            prices[index] = price
    found: list[list[Term]] = [[] for _ in problem.laid.parts]
    for index, candidate in enumerate(problem.candidates):
        contacts = Counter(meeting.part for meeting in candidate.meetings if not candidate.clamp)
        for part, own in contacts.items():
            share = prices[index] * own / len(candidate.meetings)
            found[part].append((variables.candidates[index], math.ceil(TENTHS * share)))
    return found
