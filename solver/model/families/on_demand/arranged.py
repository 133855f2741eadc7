"""Arranged: as many equal stations as are asked for stand beside each other on the table.

In words: a choice is copied to other seats of the table; if there is no room for all copies, the fewest of its candidates that
leave none for themselves and the parts never stand together again.
Where the table has few seats, all that keeps copies apart is written down as soon as one choice has no room.
Formula: sum {x_i : i blamed} <= number blamed - 1; if the parts alone have no room, 0 >= 1. Written down whole: u_s for each
seat, sum u_s = n;  u_s + u_t <= 1 + d_o for two seats that see each other by the offset o;
n x_i + sum {u_s : no holes there} <= n;  d_o + x_i <= 1 for what crosses the parts or itself;
d_o + sum_I x + sum_J x <= 2 for two cliques that cross each other.
Source: the rule book's clear.body, torch.* and way.*, asked of each station with all others in place.

Example:

```text
   table 12 columns wide, two stations of 7:   stop at A and clamp at G leave no room together:  x_A + x_G <= 1
```
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field

from solver.deadline import look
from solver.model.choice import Choice, Refusal
from solver.model.cliques import two_cliques
from solver.model.families import Broken, OnDemand
from solver.model.program import Rows
from solver.position.arrangement.arranger import Arranger

RULE = "stations.beside"
MOST_PAIRS = 400_000
"""Of more pairs that cross each other not all is written down."""


@dataclass
class Arranged(OnDemand):
    """Room for all stations, asked of each choice."""

    written: bool = field(default=False, init=False)

    def broken(self, choice: Choice) -> Iterator[Broken]:
        """Yield that what leaves no room for all stations does not stand together."""
        arranger = self.problem.arranger
        if arranger is None:
            return
        found = arranger.arranged(choice.candidates, choice.pulled)
        if found.seats:
            return
        if not self.written and self._writes(arranger):
            yield Broken(self._whole(arranger))
            return
        if not found.sure:
            arranger.unsure_cents = min(choice.cents, choice.cents if arranger.unsure_cents is None else arranger.unsure_cents)
        rows, binaries = Rows(), self.variables.candidates
        rows.row(RULE, [(binaries[index], -1) for index in found.blame], 1 - len(found.blame), about=self.problem.table)
        stations = self.problem.request.stations
        yield Broken(rows, Refusal(RULE, f"no room for {stations} stations beside each other", choice.cents))

    def _writes(self, arranger: Arranger) -> bool:
        """Return whether all can be written down, the first time."""
        self.written = True
        whole = arranger.whole
        return whole is not None and sum(len(crossing.pairs) for crossing in whole.crossings.values()) <= MOST_PAIRS

    def _whole(self, arranger: Arranger) -> Rows:
        """Return the rows of all seats and offsets."""
        whole, rows, count = arranger.whole, Rows(), arranger.room.stations
        assert whole is not None
        binaries, about = self.variables.candidates, self.problem.table
        seats = [rows.variable() for _ in whole.seats]
        rows.row(RULE, [(seat, 1) for seat in seats], count, count, about=about)
        used = {offset: rows.variable() for offset, crossing in whole.crossings.items() if not crossing.parts}
        for (one, other), offset in whole.offsets.items():
            far = [] if offset is None or offset not in used else [(used[offset], -1)]
            rows.row(RULE, [(seats[one], 1), (seats[other], 1), *far], high=1, about=about)
        for index, binary in enumerate(binaries):
            gone = whole.missing(index)
            if gone:
                rows.row(RULE, [(binary, count), *((seats[seat], 1) for seat in gone)], high=count, about=about)
        for offset, there in used.items():
            look()
            crossing = whole.crossings[offset]
            for index in sorted(crossing.alone):
                rows.row(RULE, [(binaries[index], 1), (there, 1)], high=1, about=about)
            for cliques in two_cliques(crossing.pairs, self.problem.neighbours):
                terms = [(binaries[index], 1) for clique in cliques for index in clique]
                rows.row(RULE, [(there, 1), *terms], high=2, about=about)
        return rows
