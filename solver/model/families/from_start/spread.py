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

from collections.abc import Sequence

import numpy as np

from solver.geometry.tolerances import SAME_PLACE, SPACING_SLACK
from solver.model.program import Program
from solver.model.variables import Variables
from solver.position.problem import Problem
from solver.position.side_groups import SideGroup

Outermost = tuple[tuple[int, ...] | None, tuple[int, ...] | None]
"""Variables of contacts that start at or before a place, and that end far enough beyond it; None where one is given."""


def post(program: Program, variables: Variables, problem: Problem) -> None:
    """Add the rows of this family."""
    for group, side in zip(problem.groups, variables.side, strict=True):
        if group.spacing > 0:
            _spread(program, variables, group, side, problem.laid.parts[group.part].id)


def _spread(program: Program, variables: Variables, group: SideGroup, side: int, about: str) -> None:
    pairs = outermost(group, variables)
    if pairs is not None:
        ask(program, pairs, [side], about)


def outermost(group: SideGroup, variables: Variables) -> list[Outermost] | None:
    """Return for every start what may be the outermost contacts of a side wide enough; None if what is given is wide enough."""
    low, high = np.array([(point.low, point.high) for point in group.points]).T
    given = np.array([point.candidate is None for point in group.points])
    stands = np.array([-1 if point.candidate is None else variables.candidates[point.candidate] for point in group.points])
    pairs: list[Outermost] = []
    for start in sorted({round(point.low, 3) for point in group.points}):
        before = low <= start + SAME_PLACE
        beyond = high >= start + group.spacing - SPACING_SLACK
        if not before.any() or not beyond.any():
            continue
        ends = [None if given[found].any() else tuple(np.unique(stands[found]).tolist()) for found in (before, beyond)]
        if ends[0] is None and ends[1] is None:
            return None
        pairs.append((ends[0], ends[1]))
    return pairs


def ask(program: Program, pairs: Sequence[Outermost], sides: Sequence[int], about: str) -> None:
    """Ask that one of the pairs stands if one of some sides serves, of which at most one does."""
    chosen = []
    for pair in pairs:
        b = program.variable()
        chosen.append(b)
        for picked in pair:
            if picked is not None:
                program.row("locate.side_spacing_ratio", [*((s, 1) for s in picked), (b, -1)], 0, about=about)
    program.row("locate.side_spacing_ratio", [*((b, 1) for b in chosen), *((side, -1) for side in sides)], 0, about=about)
