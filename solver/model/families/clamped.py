"""Clamped: enough clamps on every part, over supports, pushing parts onto their stops.

In words: at least one clamp serves a part per clamp.per_length begun; a down clamp presses over the table, a carrying
part or a chosen rest; a side clamp pushes against a locator and never away from one.
Formula: sum {x_c : serves p} >= ceil(length / per_length);  x_c <= sum {x_r : rest within over_support};
x_c <= sum {x_l : n_l . push < -1/2};  x_c + x_l <= 1 where n_l . push > 0.05.
Source: the rule book's clamp.* rules; "clamp forces towards the locators, over supports" (common practice).

Example:

```text
        clamp tip                        push -->
            |                        +-----------+
            v                 clamp  |           |  stop
     +-------------+          ==>    |   part    | <=|
     |    part     |                 +-----------+
     +-------------+
        [rest]  within 30 mm         x_clamp <= x_stop on the far side
     x_clamp <= x_rest               x_clamp + x_stop <= 1 on the near side
```
"""

from __future__ import annotations

from solver.candidates.floors import clamps_needed
from solver.candidates.problem import Problem
from solver.model.program import Program
from solver.model.variables import Variables


def post(program: Program, variables: Variables, problem: Problem) -> None:
    """Add the rows of this family."""
    for part in problem.assembly.parts:
        serving = [(variables.stands[index], 1) for index in problem.serving[part.index]]
        program.row("clamp.per_length", serving, clamps_needed(problem.assembly, part), about=part.id)
    for index, needed in problem.over.items():
        for rests in needed:
            program.row(
                "clamp.over_support", [(variables.stands[index], -1), *((variables.stands[r], 1) for r in sorted(rests))], 0
            )
    for index, against in problem.against.items():
        if not against.already:
            stops = [(variables.stands[r], 1) for r in sorted(against.stops)]
            program.row("clamp.against", [(variables.stands[index], -1), *stops], 0)
        if against.away:
            away = [(variables.stands[r], 1) for r in sorted(against.away)]
            program.row("clamp.away", [(variables.stands[index], len(away)), *away], high=len(away))
