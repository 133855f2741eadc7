"""True: of fixtures at one price, the one that locates best.

In words: two points along the long side rather than the short one, side points wide apart: over four fifths of what the face
offers is as good as over all of it.
Formula: sum of the penalties of sides and points: 60 for a side of no length against the longest; for a point at a share s of
the way from the middle to the end 9 (0.8 - s) / 0.8, at least 0, whole.
Source: 3-2-1 locating, "two along the long side, one at the end, points wide apart" (common practice, no source).

Example:

```text
     ^          ^                         ^ ^
   +-+----------+-+   rather than   +-----+-+------+
   |    rail      |                 |    rail      |     at the same price
   +--------------+                 +--------------+
```
"""

from __future__ import annotations

import numpy as np

from solver.model.program import Program
from solver.model.variables import Variables
from solver.position.problem import Problem

SHORT_SIDE = 60
NEAR_MIDDLE = 9
WIDE = 0.8
"""A point this far out from the middle, as a share of the way to the end, is far enough out."""


def wish(program: Program, variables: Variables, problem: Problem) -> None:
    """Add how far sides are from the longest and side points from wide apart."""
    penalties: dict[int, int] = {}
    lengths = _lengths(problem)
    for group, side, length in zip(problem.groups, variables.side, lengths, strict=True):
        longest = max(other for g, other in zip(problem.groups, lengths, strict=True) if g.part == group.part)
        penalties[side] = round(SHORT_SIDE * (1 - length / longest)) if longest > 0 else 0
        low, high = min(point.low for point in group.points), max(point.high for point in group.points)
        for point in group.points:
            if point.candidate is not None and high - low > 1.0:
                off = abs((point.low + point.high) / 2 - (low + high) / 2) / ((high - low) / 2)
                stack = variables.candidates[point.candidate]
                penalties[stack] = penalties.get(stack, 0) + round(NEAR_MIDDLE * max(0.0, WIDE - off) / WIDE)
    program.cost(penalties)


def _lengths(problem: Problem) -> list[float]:
    """Return each side group's length: its part's level extent along the face, mm."""
    found = []
    for group in problem.groups:
        low, high = problem.laid.parts[group.part].extent(np.array([-group.normal[1], group.normal[0], 0.0]))
        found.append(high - low)
    return found
