"""Spread: a part's side points stand wide apart.

In words: the outermost contacts of a part's side, a wide pad counted from edge to edge, are at least the asked spacing
apart. Formula: for each contact start a: b_a <= sum {x_i : starts at or before a}, b_a <= sum {x_i : ends at or after
a + spacing}; sum_a b_a >= side. Source: the rule book's locate.side_spacing_*.

Example:

```text
   part, 600 long; asked: 300
   +--------------------------------------------+
      ^ a            ^ a + 300         ^
      x1             .                 x2         x1 starts at or before a, x2 ends at or after a + 300
      |<------------ 360 ------------->|          b_a <= x1, b_a <= x2
```
"""

from __future__ import annotations

import numpy as np

from solver.geometry.tolerances import SAME_PLACE, SPACING_SLACK
from solver.model.program import Program
from solver.model.variables import Variables
from solver.position.problem import Problem
from solver.position.side_groups import SideGroup


def post(program: Program, variables: Variables, problem: Problem) -> None:
    """Add the rows of this family."""
    for group, side in zip(problem.groups, variables.side, strict=True):
        if group.spacing > 0:
            _spread(program, variables, group, side, problem.laid.parts[group.part].id)


def _spread(program: Program, variables: Variables, group: SideGroup, side: int, about: str) -> None:
    low, high = np.array([(point.low, point.high) for point in group.points]).T
    given = np.array([point.candidate is None for point in group.points])
    stands = np.array([-1 if point.candidate is None else variables.candidates[point.candidate] for point in group.points])
    pairs: list[tuple[list[int] | None, list[int] | None]] = []
    for start in sorted({round(point.low, 3) for point in group.points}):
        before = low <= start + SAME_PLACE
        beyond = high >= start + group.spacing - SPACING_SLACK
        if not before.any() or not beyond.any():
            continue
        ends = [None if given[found].any() else np.unique(stands[found]).tolist() for found in (before, beyond)]
        pairs.append((ends[0], ends[1]))
    chosen = []
    for before_stands, beyond_stands in pairs:
        if before_stands is None and beyond_stands is None:
            return
        b = program.variable()
        chosen.append(b)
        for picked in (before_stands, beyond_stands):
            if picked is not None:
                program.row("locate.side_spacing_ratio", [*((s, 1) for s in picked), (b, -1)], 0, about=about)
    program.row("locate.side_spacing_ratio", [*((b, 1) for b in chosen), (side, -1)], 0, about=about)
