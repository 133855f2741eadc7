"""Tipping: the centre of gravity of every part lies inside the outline of the supports chosen, with the margin.

In words: the rows from the start look along some directions only; a choice may leave the centre of gravity too near to an edge
of the outline that looks another way. One support at least must then lie beyond that edge.
Formula: for an edge with outward normal u: sum {x_i : max over its patch of u . (v - g) >= margin} >= 1.
Source: the rule book's locate.support_margin*.

Example:

```text
   [r1]----[r2]
     .   x   |         x: centre of gravity, too near to the edge from r1 to r3
       .     |         one support must lie beyond that edge:  x_r4 + x_r5 >= 1
   r4    .   |
      r5    [r3]
```
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from solver.geometry.plan_view import edges_around
from solver.geometry.tolerances import MARGIN_SLACK
from solver.laying.requirements import support_margin
from solver.model.choice import Choice
from solver.model.families import Broken, OnDemand
from solver.model.program import Rows


@dataclass
class Tipping(OnDemand):
    """Supports beyond every edge that a centre of gravity comes too near to."""

    def broken(self, choice: Choice) -> Iterator[Broken]:
        """Yield a row for every such edge of a choice's outlines."""
        rows = Rows()
        for held, rests in zip(self.problem.laid.parts, self.problem.supports, strict=True):
            margin = support_margin(self.problem.laid, held) - MARGIN_SLACK
            patches = [touch.patch[:, :2] for touch in self.problem.laid.touches_of(held.index) if touch.normal[2] > 0.5]
            patches += [patch[:, :2] for index, patch in rests if index in choice.candidates]
            for outward, reach in edges_around(np.concatenate(patches)) if patches else []:
                centre = float(outward @ held.centre[:2])
                if reach - centre < margin:
                    beyond = [i for i, patch in rests if float((patch[:, :2] @ outward).max() - centre) >= margin]
                    rows.row("locate.support", [(self.variables.candidates[index], 1) for index in beyond], 1, about=held.id)
        if rows.rows:
            yield Broken(rows)
