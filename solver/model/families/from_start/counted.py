"""Counted: no more pieces of an item than are free, or bought.

Formula: sum stations n_ik x_i - buy_k <= free_k. Source: the stock snapshot of the request's dates.

Example:

```text
   free: 4 stops.   stop at C7  stop at C9  stop at E7  stop at E9  stop at G7
                    x1       +  x2       +  x3       +  x4       +  x5    - buy <= 4
```
"""

from __future__ import annotations

import math

from solver.cost import fixtures_on_table, free_pieces
from solver.model.program import Program, Term
from solver.model.variables import Variables
from solver.position.problem import Problem

GRAMS = 1000


def post(program: Program, variables: Variables, problem: Problem) -> None:
    """Add the rows of this family."""
    stations = fixtures_on_table(problem.request)
    takes: dict[str, list[Term]] = {}
    for stack, pieces in zip(variables.candidates, problem.pieces, strict=True):
        for item, count in pieces.items():
            takes.setdefault(item, []).append((stack, stations * count))
    for item, users in sorted(takes.items()):
        if item in variables.buy:
            users.append((variables.buy[item], -1))
        program.row(f"stock.counted {item}", users, high=free_pieces(problem.request, problem.stock, item), about=item)
    if problem.spare_kg is not None:
        grams = [math.ceil(GRAMS * stations * candidate.stack.mass_kg - 1e-6) for candidate in problem.candidates]
        program.row(
            "table.max_load", list(zip(variables.candidates, grams, strict=True)), high=math.floor(GRAMS * problem.spare_kg)
        )
