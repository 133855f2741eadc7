"""Accurate: locators stand so that conditioning and toleranced points keep their limits.

In words: a choice that is not true enough lets its parts make a small motion q, within its locators' errors, that takes the
toleranced point too far; every choice whose locators all let q happen is no truer, so one at least must resist it.
Formula: sum {x_i : |n_i . q(r_i)| > error_i} >= 1.
Where parts or table do not follow q, and for conditioning: the choice is not returned again, and the next one must set one
of the parts concerned on wider side points, or on truer pieces, or against another face. Formula: for the side group g of
each part concerned, with span s and error r of its points: b_a <= sum {x : starts at or before a, or truer than r},
b_a <= sum {x : at or beyond a + s + 1, or truer than r}, one part's group at least.
Source: 3-2-1 locating, [n, r x n] . q = error (Asada & By 1985); rotation = error / base of the two points.

Example:

```text
   coarse stop, off by 0.6         q: the bar turns about the far stop and takes the corner too far
   v                               every stop that lets q happen is of no use:
 ==^====================^====o     coarse at a: |n.q| = 0.5 < 0.6   lets it    not in the row
   a                    b          true at a:   |n.q| = 0.5 > 0.05  resists    x_true_a
   |<------ base ------>|          any at b':   |n.q| = 0.0         lets it    not in the row
                                   row: x_true_a + ... >= 1
```
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from inventory.shapes import Array
from solver.hardware.candidates import Candidate
from solver.model.program import Program
from solver.model.variables import Variables
from solver.position.locating_errors import LocatingViolation
from solver.position.problem import Problem
from solver.position.resisting_motion import locator_error_mm

WIDER = 1.0


def post(program: Program, variables: Variables, problem: Problem, broken: LocatingViolation, sides: Sequence[int]) -> None:
    """Add the rows that ask for more than a choice's locators gave; `sides` are its side groups."""
    if broken.needed is not None:
        program.row(broken.rule, [(variables.candidates[index], 1) for index in sorted(broken.needed)], 1)
        return
    program.row(broken.rule, [(variables.candidates[index], -1) for index in broken.locators], 1 - len(broken.locators))
    if any(problem.groups[g].around for g in sides):
        return
    concerned = {part for index in broken.locators for part in problem.candidates[index].parts}
    better = [
        term
        for g in sides
        if problem.groups[g].part in concerned
        for term in _wider(program, variables, problem, g, broken.locators)
    ]
    if better:
        program.row(broken.rule, better, 1)


def _wider(
    program: Program, variables: Variables, problem: Problem, number: int, locators: Sequence[int]
) -> list[tuple[int, int]]:
    """Return binaries of which one must be 1 for a group to stand wider, or for another group to serve as the side."""
    group = problem.groups[number]
    across = np.array([-group.normal[1], group.normal[0], 0.0])
    places: dict[int, float] = {}
    for index, candidate in enumerate(problem.candidates):
        place = _place(candidate, group.part, group.normal, across)
        if place is not None and not candidate.clamp:
            places[index] = place
    chosen = [index for index in locators if index in places]
    other = program.variable()
    program.row("accurate", [(other, 1), (variables.side[number], 1)], high=1)
    if len(chosen) < 2:
        return [(other, 1)]
    span = max(places[k] for k in chosen) - min(places[k] for k in chosen)
    errors = {index: locator_error_mm(problem.candidates[index], group.normal) for index in places}
    worst = max(errors[k] for k in chosen)
    truer = {index for index, error in errors.items() if error < worst - 1e-9}
    terms = [(other, 1)]
    for start in sorted({round(place, 3) for place in places.values()}):
        first = {index for index, place in places.items() if place <= start + 1e-3} | truer
        last = {index for index, place in places.items() if place >= start + span + WIDER} | truer
        if not first or not last:
            continue
        b = program.variable()
        for picked in (first, last):
            program.row("accurate", [*((variables.candidates[index], 1) for index in sorted(picked)), (b, -1)], 0)
        terms.append((b, 1))
    return terms


def _place(candidate: Candidate, part: int, normal: Array, across: Array) -> float | None:
    for meeting in candidate.meetings:
        sideways = meeting.sideways
        if meeting.part == part and sideways is not None and float(sideways @ normal) > 1 - 1e-4:
            return float(meeting.at @ across)
    return None
