"""Ways: a way in for every part, a way out for the weldment, past pieces that are pulled first if need be.

In words: of the ways that the parts themselves leave, one at least stays free of pieces. On the way out what stands in it may be
pulled instead, if the catalogue allows it and nothing stands over it; pulling takes its seconds of every cycle.
Formula: sum_i x_i + z_w <= 1 for each clique of blockers i of way w (of which no two can stand);
x_i - pull_i + z_w <= 1 for what may be pulled (only on the way out);  sum_w z_w >= 1;  pull_i <= x_i;
pull_i + x_j <= 1 for each j that stands over i.
Source: the rule book's way.* rules.

Example:

```text
        up        lift, then slide                [clamp arm] over the part blocks "up":  x_clamp + z_up <= 1
        ^             +--->                       [stop] blocks the other, removable:     x_stop - pull_stop + z_slide <= 1
        |             |
     [ weldment ]  [ weldment ]                   one way at least:                       z_up + z_slide >= 1
```
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from solver.model.choice import Choice
from solver.model.families import Broken, OnDemand
from solver.model.one_open import keep_one_open
from solver.model.program import Rows


@dataclass
class Ways(OnDemand):
    """The ways of every mover, asked for one mover at a time, when a choice leaves it stuck."""

    def broken(self, choice: Choice) -> Iterator[Broken]:
        """Yield the rows of every mover that finds no way among the pieces of a choice, pulled pieces out of the way."""
        routes = self.problem.routes
        for mover in range(len(routes.movers)):
            if routes.open_route(mover, choice.candidates, choice.pulled) is None:
                yield Broken(self.rows_of(mover))

    def rows_of(self, mover: int) -> Rows:
        """Return the rows of one mover (an index of `problem.routes.movers`)."""
        rows, variables, routes = Rows(), self.variables, self.problem.routes
        family, about = ("way.out", "weldment") if mover == routes.out else ("way.in", self.problem.laid.all_parts[mover].id)
        options = routes.options(mover)
        blockers, loose = [option.blockers for option in options], [option.pullable for option in options]
        keep_one_open(rows, variables, self.problem.neighbours, family, blockers, about, loose)
        plainest = options[0].blockers - options[0].pullable if options else frozenset()
        rows.named[family, about] = tuple(sorted({self.problem.candidates[index].stack.top.id for index in plainest}))
        for index in sorted({index for option in options for index in option.pullable}):
            pull, over = variables.pull[index], sorted(routes.over_pullable[index])
            rows.row(family, [(pull, 1), (variables.candidates[index], -1)], high=0, about=about)
            if over:
                above = [(variables.candidates[k], 1) for k in over]
                rows.row(family, [(pull, len(over)), *above], high=len(over), about=about)
        return rows
