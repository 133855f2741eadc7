"""Clamped: enough clamps on every part, over supports, pushing parts onto their stops.

In words: at least one clamp serves a part per clamp.per_length begun; a down clamp presses over the table, a carrying
part or a chosen rest; a side clamp pushes against a locator and never away from one.
Formula: sum {x_c : serves p} >= ceil(length / per_length);  x_c <= sum {x_r : rest within over_support};
x_c <= s <= sum {x_l : n_l . push < -1/2};  x_c + a <= 1, x_l <= a where n_l . push > 0.05 (one s, one a for all clamps that
push the same locators).
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

from solver.laying.requirements import clamps_needed
from solver.model.program import Program
from solver.model.variables import Variables
from solver.position.problem import Problem


def post(program: Program, variables: Variables, problem: Problem) -> None:
    """Add the rows of this family."""
    for part in problem.laid.parts:
        serving = [(variables.candidates[index], 1) for index in problem.serving[part.index]]
        program.row("clamp.per_length", serving, clamps_needed(problem.laid, part), about=part.id)
    for index, needed in problem.over.items():
        for rests in needed:
            program.row(
                "clamp.over_support",
                [(variables.candidates[index], -1), *((variables.candidates[r], 1) for r in sorted(rests))],
                0,
            )
    against: dict[frozenset[int], list[int]] = {}
    away: dict[frozenset[int], list[int]] = {}
    for index, pushed in problem.against.items():
        if not pushed.already:
            against.setdefault(pushed.stops, []).append(index)
        if pushed.away:
            away.setdefault(pushed.away, []).append(index)
    for stops, clamps in against.items():
        any_stop = program.variable()
        program.row("clamp.against", [(any_stop, -1), *((variables.candidates[s], 1) for s in sorted(stops))], 0)
        for clamp in clamps:
            program.row("clamp.against", [(variables.candidates[clamp], -1), (any_stop, 1)], 0)
    for stops, clamps in away.items():
        any_stop = program.variable()
        for stop in sorted(stops):
            program.row("clamp.away", [(any_stop, 1), (variables.candidates[stop], -1)], 0)
        for clamp in clamps:
            program.row("clamp.away", [(variables.candidates[clamp], 1), (any_stop, 1)], high=1)
