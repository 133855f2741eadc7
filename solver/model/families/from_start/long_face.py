"""Long face: a part's side points stand on a long face of it.

In words: two points on the long side, one on the short. Of the faces that carry the two outermost contacts of a part's side, one
at least is as long as the rule book asks; a contact in a hole, or given by a V-block, does as well.
Formula: side <= f + l;  x_s + f <= 1 + b_s for each contact s on a short face;  b_s <= sum {x_i : on a long face, starts at or
before s}; the same with l for the contacts that end at or beyond s. Where no contact is on a long face: side = 0.
Source: the rule book's locate.side_face_ratio.

Example:

```text
   a bar 300 x 50, asked: 150             an L seen from above, asked: 100
   +-----------------------------+        +-----+
   |                             | <- x   |     |<- x1      both faces look right: 40 and 200 mm long
   |                             | <- x   |     +--------+
   +-----------------------------+        |              |<- x2   x1 on the long one: side
        50 mm long: no side               +--------------+
```
"""

from __future__ import annotations

from collections.abc import Sequence

from solver.geometry.tolerances import SAME_PLACE
from solver.model.program import Program
from solver.model.variables import Variables
from solver.position.problem import Problem
from solver.position.side_groups import SidePoint

RULE = "locate.side_face_ratio"


def post(program: Program, variables: Variables, problem: Problem) -> None:
    """Add the rows of this family."""
    for group, side in zip(problem.groups, variables.side, strict=True):
        about = problem.laid.parts[group.part].id
        ask(program, variables, group.points, [side], about)


def ask(program: Program, variables: Variables, points: Sequence[SidePoint], sides: Sequence[int], about: str) -> None:
    """Add the rows by which sides that are never chosen together have one of their outermost contacts on a long face."""
    if all(point.long for point in points):
        return
    ends = []
    if any(point.long for point in points):
        ends = [program.variable(), program.variable()]
        _outermost(program, variables, ends[0], [(point, point.low) for point in points], about)
        _outermost(program, variables, ends[1], [(point, -point.high) for point in points], about)
    program.row(RULE, [*((side, 1) for side in sides), *((end, -1) for end in ends)], high=0, about=about)


def _outermost(program: Program, variables: Variables, on_long: int, places: list[tuple[SidePoint, float]], about: str) -> None:
    """Add rows by which `on_long` says that no contact stands farther out (at a lesser place) than all on long faces."""
    before: dict[tuple[int, ...], int] = {}
    for short, place in places:
        if short.long:
            continue
        ahead = [point for point, other in places if point.long and other <= place + SAME_PLACE]
        if any(point.candidate is None for point in ahead):
            continue
        stands = tuple(sorted({variables.candidates[point.candidate] for point in ahead if point.candidate is not None}))
        if stands not in before:
            before[stands] = program.variable()
            program.row(RULE, [*((stand, 1) for stand in stands), (before[stands], -1)], 0, about=about)
        own = [] if short.candidate is None else [(variables.candidates[short.candidate], 1)]
        program.row(RULE, [*own, (on_long, 1), (before[stands], -1)], high=len(own), about=about)
