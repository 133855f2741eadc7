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

from solver.candidates.problem import Problem
from solver.model.program import Program
from solver.model.variables import Variables


def post(program: Program, variables: Variables, problem: Problem) -> None:
    """Add the cliques of this family."""
    for clique in cover(len(problem.candidates), problem.conflicts):
        program.at_most_one(variables.stands[index] for index in clique)


def cover(count: int, pairs: frozenset[tuple[int, int]]) -> list[tuple[int, ...]]:
    """Return cliques that cover all conflict pairs: grown from the busiest candidate on, over pairs not yet covered first.

    Sets of candidates are whole numbers, one bit a candidate.
    """
    conflict = [0] * count
    for i, j in pairs:
        conflict[i] |= 1 << j
        conflict[j] |= 1 << i
    left = list(conflict)
    cliques = []
    for first in sorted(range(count), key=lambda k: (-conflict[k].bit_count(), k)):
        while left[first]:
            members, common = [first], conflict[first]
            wanted = left[first]
            while common:
                pick = common & wanted or common
                member = (pick & -pick).bit_length() - 1
                members.append(member)
                common &= conflict[member]
            clique = sum(1 << member for member in members)
            for member in members:
                left[member] &= ~clique
            cliques.append(tuple(sorted(members)))
    return cliques
