"""Reachable: every weld sample keeps a torch direction, with room for the hand.

Formula: sum_i x_i + y_sd <= 1 for each clique of blockers i of direction d at sample s (of which no two can stand);
sum_d y_sd >= 1.
Source: the rule book's torch.* rules.

Example:

```text
        torch directions at a sample s:  d1 straight in, d2 leaning
           d1    d2
           |    /      [clamp] stands in d2 only:   x_clamp + y_s,d2 <= 1
           |  /        [stop]  stands in both:      x_stop + y_s,d1 <= 1,  x_stop + y_s,d2 <= 1
      _____|/_______                                y_s,d1 + y_s,d2 >= 1
```
"""

from __future__ import annotations

from solver.model.families.on_demand.ways import keep_one_open
from solver.model.program import Program
from solver.model.variables import Variables
from solver.position.problem import Problem


def post(program: Program, variables: Variables, problem: Problem) -> None:
    """Add the rows of this family."""
    for weld, directions in problem.reach:
        about = problem.laid.weldment.welds[weld].id
        keep_one_open(program, variables, problem.neighbours, "torch.work_tolerance", directions, about)
