"""Arranged: as many equal stations as are asked for stand beside each other on the table.

In words: a choice is copied to other seats of the table; if there is no room for all copies, the fewest of its candidates that
leave none for themselves and the parts never stand together again.
Formula: sum {x_i : i blamed} <= number blamed - 1; if the parts alone have no room, 0 >= 1.
Source: the rule book's clear.body, torch.* and way.*, asked of each station with all others in place.

Example:

```text
   table 12 columns wide, two stations of 7:   stop at A and clamp at G leave no room together:  x_A + x_G <= 1
```
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from solver.model.choice import Choice, Refusal
from solver.model.families import Broken, OnDemand
from solver.model.program import Rows

RULE = "stations.beside"


@dataclass
class Arranged(OnDemand):
    """Room for all stations, asked of each choice."""

    def broken(self, choice: Choice) -> Iterator[Broken]:
        """Yield that what leaves no room for all stations does not stand together."""
        arranger = self.problem.arranger
        if arranger is None:
            return
        found = arranger.arranged(choice.candidates, choice.pulled)
        if found.seats:
            return
        if not found.sure:
            arranger.unsure_cents = min(choice.cents, choice.cents if arranger.unsure_cents is None else arranger.unsure_cents)
        rows, binaries = Rows(), self.variables.candidates
        rows.row(RULE, [(binaries[index], -1) for index in found.blame], 1 - len(found.blame), about=self.problem.table)
        stations = self.problem.request.stations
        yield Broken(rows, Refusal(RULE, f"no room for {stations} stations beside each other", choice.cents))
