"""Together: a ring is located together where a stop meets a tip of one of its parts, and then no locators face each other in it.

In words: with a stop at a tip the parts of a closed ring count as one for locators that face each other. Where a part that the
ring leans on leans on the ring itself, its parts cannot be located together.
Formula: x_t <= together for each t at a tip;  x_i <= z + 1 - together for locators i that push any part of the ring along n;
x_j <= 1 - z + 1 - together for those that push any of it along m, n . m < -0.9.
Source: the rule book's locate.together and locate.opposed.

Example:

```text
   stop 1 ==> | left |----------| right | <== stop 2      apart by a frame, yet one ring:  x_1 <= z,  x_2 <= 1 - z
   tip    ==> |======|                                    x_tip <= together
```
"""

from __future__ import annotations

from solver.laying.closed_rings import leans_on_itself
from solver.model.families.from_start import opposed
from solver.model.program import Program
from solver.model.variables import Variables
from solver.position.problem import Problem

RULE = "locate.together"


def post(program: Program, variables: Variables, problem: Problem) -> None:
    """Add the rows of this family."""
    for ring, stops, together in zip(problem.laid.rings, problem.tip_stops, variables.together, strict=True):
        about = problem.laid.parts[ring.parts[0]].id
        for stop in sorted(stops):
            program.row("ring", [(together, 1), (variables.candidates[stop], -1)], 0)
        if not problem.laid.any_order and leans_on_itself(problem.laid, ring):
            program.row(RULE, [(together, 1)], high=0, about=about)
        if stops and problem.laid.rules[opposed.RULE] < 1:
            opposed.ask_across(program, variables, problem, ring.parts, together)
