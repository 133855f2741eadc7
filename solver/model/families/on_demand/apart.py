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

from collections.abc import Iterator
from dataclasses import dataclass, field

from solver.model.choice import Choice
from solver.model.cliques import cover
from solver.model.families import Broken, OnDemand
from solver.model.program import Rows


@dataclass
class Apart(OnDemand):
    """Conflicts between all candidates, written down whole for the first choice."""

    written: bool = field(default=False, init=False)

    def broken(self, choice: Choice) -> Iterator[Broken]:
        """Yield the cliques that cover all conflicts, the first time."""
        if not self.written:
            rows = Rows()
            for clique in cover(self.problem.neighbours):
                rows.at_most_one(self.variables.candidates[index] for index in clique)
            self.written = True
            if rows.cliques:
                yield Broken(rows)
