"""Located: every part against its side, its end, and level on its supports.

In words: one direction of level contacts serves as a part's side and has at least two points; at least one more contact
looks another way (the end). Three points carry it from below (two a lying round part); the centre of gravity lies
inside the outline of the support patches, with the margin.
Formula: sum_g side_g = 1;  sum points_i x_i >= 2 side_g;  sum of contacts across g >= side_g;
for each critical direction u of the outline: sum {x_i : max over its patch of u.(v - g) >= margin} >= 1.
Source: 3-2-1 locating; the rule book's locate.* rules.

Example:

```text
          side: two points                 the outline of the supports, seen from above
        ^              ^                        [r]-----------[r]
   +----+--------------+----+                    |      x      |    x: centre of gravity,
 -->              part      |  end: one          |   margin    |    min(10 mm, 0.2 width) inside
   +------------------------+                   [r]-----------[r]
```
"""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np

from inventory.shapes import Array
from solver.geometry.tolerances import CROSS, MARGIN_SLACK
from solver.laying.laid_weldment import LaidWeldment
from solver.laying.requirements import support_margin
from solver.model.program import Program, Term
from solver.model.variables import Variables
from solver.position.problem import Problem
from solver.position.side_groups import SideGroup

DIRECTIONS = 64


def post(program: Program, variables: Variables, problem: Problem) -> None:
    """Add the rows of this family."""
    for part in problem.laid.parts:
        groups = [index for index, group in enumerate(problem.groups) if group.part == part.index]
        program.row("locate.side", [(variables.side[index], 1) for index in groups], 1, 1, about=part.id)
        for index in groups:
            _side(program, variables, problem.groups[index], variables.side[index], part.id)
            _end(program, variables, problem, index, groups)
        _supported(program, variables, problem, part.index)


def _side(program: Program, variables: Variables, group: SideGroup, side: int, about: str) -> None:
    lacking = points_lacking(group)
    if lacking > 0:
        program.row("locate.side", [*point_terms(group, variables), (side, -lacking)], 0, about=about)


def points_lacking(group: SideGroup) -> int:
    """Return how many points locators must give for a group to serve as a side."""
    return group.needed - sum(point.points for point in group.points if point.candidate is None)


def point_terms(group: SideGroup, variables: Variables) -> list[Term]:
    """Return how many points of a group each locator gives."""
    terms: dict[int, int] = {}
    for point in group.points:
        if point.candidate is not None:
            stack = variables.candidates[point.candidate]
            terms[stack] = terms.get(stack, 0) + point.points
    return list(terms.items())


def _end(program: Program, variables: Variables, problem: Problem, index: int, groups: list[int]) -> None:
    ends = end_terms(problem.groups[index], [problem.groups[g] for g in groups], variables)
    if ends is not None:
        about = problem.laid.parts[problem.groups[index].part].id
        program.row("locate.end", [*ends, (variables.side[index], -1)], 0, about=about)


def end_terms(side: SideGroup, own: Sequence[SideGroup], variables: Variables) -> list[Term] | None:
    """Return what may be a part's end if one of its `own` groups is its side; None if nothing need stand for it."""
    if side.around:
        return None
    across = [group for group in own if not group.around and abs(float(group.normal @ side.normal)) <= CROSS]
    if any(point.candidate is None for group in across for point in group.points):
        return None
    stops = [p.candidate for group in across for p in group.points if p.candidate is not None]
    stops += [tip for tip, (x, y) in side.tips if abs(x * side.normal[0] + y * side.normal[1]) <= CROSS]
    return [(variables.candidates[stop], 1) for stop in stops]


def _supported(program: Program, variables: Variables, problem: Problem, part: int) -> None:
    held = problem.laid.parts[part]
    wanted, sides = supports_wanted(problem.laid, part, problem.supports[part])
    if wanted > 0:
        rests = [(variables.candidates[index], 1) for index, _ in problem.supports[part]]
        program.row("locate.support_points", rests, wanted, about=held.id)
    for side in sides:
        program.row("locate.support", [(variables.candidates[index], 1) for index in sorted(side)], 1, about=held.id)


def supports_wanted(laid: LaidWeldment, part: int, rests: Sequence[tuple[int, Array]]) -> tuple[int, list[frozenset[int]]]:
    """Return how many rests a part needs, and sets of rests of which it needs one each: they bear it to one side."""
    held = laid.parts[part]
    margin = support_margin(laid, held) - MARGIN_SLACK
    given = [touch.patch[:, :2] for touch in laid.supports_of(part)]
    fixed = np.concatenate(given) if given else np.zeros((0, 2))
    lying = held.part.section.round and abs(float(held.frame[2, 2])) < CROSS
    wanted = (2 if lying else 3) - len(fixed)
    patches = [patch[:, :2] for _, patch in rests]
    directions = _critical([*given, *patches])
    if len(fixed):
        directions = directions[((fixed - held.centre[:2]) @ directions.T).max(axis=0) < margin]
    bearing = _farthest(patches, held.centre[:2], directions) >= margin
    stands = np.array([index for index, _ in rests], dtype=np.intp)
    rows: set[frozenset[int]] = {frozenset(stands[bears].tolist()) for bears in bearing.T}
    return wanted, [row for row in rows if not any(other < row for other in rows)]


def _farthest(patches: list[Array], centre: Array, directions: Array) -> Array:
    """Return how far each patch (k, 2) reaches from a centre along each direction (d, 2), (patches, d), mm."""
    if not patches:
        return np.zeros((0, len(directions)))
    first = np.cumsum([0, *(len(patch) for patch in patches[:-1])])
    reach: Array = np.maximum.reduceat((np.concatenate(patches) - centre) @ directions.T, first, axis=0)
    return reach


def _critical(patches: list[Array]) -> Array:
    """Return directions (d, 2) to test: an even fan, and square to every line between two patch corners when there are few."""
    turns = np.arange(DIRECTIONS) * 2 * math.pi / DIRECTIONS
    fan = np.stack([np.cos(turns), np.sin(turns)], axis=1)
    points = np.unique(np.round(np.concatenate(patches), 3), axis=0) if patches else np.zeros((0, 2))
    if not 2 <= len(points) <= 24:
        return fan
    one, other = np.triu_indices(len(points), 1)
    along = points[other] - points[one]
    along /= np.hypot(along[:, 0], along[:, 1])[:, None]
    square = np.stack([along[:, 1], -along[:, 0], -along[:, 1], along[:, 0]], axis=1).reshape(-1, 2)
    return np.concatenate([fan, square])
