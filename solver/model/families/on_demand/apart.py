"""Apart: no two bodies nearer than clear.body, every peg a hole of its own.

In words: of candidates that get in each other's way, at most one stands. Formula: sum over a clique of conflicts <= 1.
Source: the rule book's clear.body.

Example:

```text
   [ stop ]                A and B overlap, B and C, A and C: a clique
      [ rest ]             x_A + x_B + x_C <= 1
   [ clamp]
```
"""

from __future__ import annotations

from solver.model.cliques import cover
from solver.model.program import Program
from solver.model.variables import Variables
from solver.position.problem import Problem


def post(program: Program, variables: Variables, problem: Problem) -> None:
    """Add the cliques of this family."""
    for clique in cover(problem.neighbours):
        program.at_most_one(variables.candidates[index] for index in clique)
