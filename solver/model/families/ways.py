"""Ways: a way in for every part, a way out for the weldment.

Formula: x_i + z_w <= 1 for each blocker i of way w;  sum_w z_w >= 1. Source: the rule book's way.* rules.

Example:

```text
        up        lift, then slide                [clamp arm] over the part blocks "up":  x_clamp + z_up <= 1
        ^             +--->                       nothing blocks the other:               z_up + z_slide >= 1
        |             |
     [ weldment ]  [ weldment ]
```
"""

from __future__ import annotations

from collections.abc import Sequence

from solver.candidates.problem import Problem
from solver.model.program import Program
from solver.model.variables import Variables


def post(program: Program, variables: Variables, problem: Problem, mover: int) -> None:
    """Add the rows of one mover (an index of `problem.movers`)."""
    family = "way.in" if mover < len(problem.assembly.parts) else "way.out"
    about = problem.assembly.parts[mover].id if family == "way.in" else "weldment"
    keep_one_open(program, variables, family, [blockers for _, blockers in problem.ways(mover)], about)


def stuck(problem: Problem, stands: Sequence[int]) -> list[int]:
    """Return the movers that find no way among these stands."""
    return [mover for mover in range(len(problem.movers)) if all(blockers for _, blockers in problem.ways(mover, stands))]


def keep_one_open(
    program: Program, variables: Variables, family: str, options: Sequence[frozenset[int]], about: str = ""
) -> None:
    """Ask that of several options, each shut by some candidates, at least one stays open."""
    if not options:
        program.row(family, [], low=1, about=about)
        return
    if any(not blockers for blockers in options):
        return
    if len(options) == 1:
        for index in sorted(options[0]):
            program.row(family, [(variables.stands[index], 1)], high=0, about=about)
        return
    opens = [program.variable() for _ in options]
    program.row(family, [(o, 1) for o in opens], low=1, about=about)
    for o, blockers in zip(opens, options, strict=True):
        stands = [(variables.stands[index], 1) for index in sorted(blockers)]
        program.row(family, [*stands, (o, len(stands))], high=len(stands), about=about)
