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

from collections.abc import Iterator
from dataclasses import dataclass, field

from solver.model.choice import Choice
from solver.model.families import Broken, OnDemand
from solver.model.one_open import keep_one_open
from solver.model.program import Rows


@dataclass
class Reachable(OnDemand):
    """The torch's way to every weld sample, written down whole for the first choice."""

    written: bool = field(default=False, init=False)

    def broken(self, choice: Choice) -> Iterator[Broken]:
        """Yield the rows of all samples, the first time."""
        if not self.written:
            rows = Rows()
            for weld, directions in self.problem.reach:
                about = self.problem.laid.weldment.welds[weld].id
                keep_one_open(rows, self.variables, self.problem.neighbours, "torch.work_tolerance", directions, about)
            self.written = True
            if rows.rows:
                yield Broken(rows)
