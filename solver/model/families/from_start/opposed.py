"""Opposed: no two locators face each other across a part, nor across parts that lie against each other.

In words: a part goes to its stops and is pressed there by clamps; a locator on the far side would have to fit it exactly. It
would rattle or pinch, and its pinch would count as holding although nothing presses. Upright round parts are exempt: they
ask for three points around them; so are pins in holes.
Formula: for locators A that push part p along n, and locators B that push part q along m, n . m < -0.9, where p is q or lies
against it along n or m, from part to part through contacts within 25 degrees of it:  x_i <= z for i in A;  x_j <= 1 - z for
j in B.
Source: 3-2-1 locating, each direction fixed from one side; locators on one side, clamps on the other (common practice, no
source). Without such pairs locators on square faces have no state of forces of their own, and friction at them comes from
loads and clamps alone.

Example:

```text
   stop 1                 stop 2        z = 1: stop 1 may stand, stop 2 not
     ==>  +-----------+  <==            x_1 <= z,  x_2 <= 1 - z
          |   part    |
     ==>  +-----------+  <--  clamp     allowed: it presses with its rated force
   stop 3

                +----+
   stop 1  ==>  | a  |----+             a lies against b against c: stop 1 and stop 2 squeeze all three
                +----| b  |----+
                     +----| c  |  <==  stop 2
                          +----+
```
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import combinations

import numpy as np

from inventory.shapes import Array
from solver.geometry.tolerances import AGAINST, FACING
from solver.laying.laid_weldment import LaidWeldment
from solver.laying.requirements import upright_round
from solver.model.program import Program
from solver.model.variables import Variables
from solver.position.problem import Problem

RULE = "locate.opposed"
NORMAL_ROUNDING = 3e-4
"""Normals that are compared here are rounded: their product is by so much too small or too great, at most."""


def post(program: Program, variables: Variables, problem: Problem) -> None:
    """Add the rows of this family."""
    if problem.laid.rules[RULE] >= 1:
        return
    for about, ones, others in _facing(problem):
        first = program.variable()
        for index in sorted(ones):
            program.row(RULE, [(variables.candidates[index], 1), (first, -1)], high=0, about=about)
        for index in sorted(others):
            program.row(RULE, [(variables.candidates[index], 1), (first, 1)], high=1, about=about)


def ask_across(program: Program, variables: Variables, problem: Problem, ring: Sequence[int], together: int) -> None:
    """Ask that no two locators face each other anywhere across some parts, if `together` is chosen."""
    by_normal: dict[tuple[float, ...], set[int]] = {}
    for (part, normal), own in _by_part(problem).items():
        if part in ring:
            by_normal.setdefault(normal, set()).update(own)
    about = problem.laid.parts[ring[0]].id
    for one, other in combinations(sorted(by_normal), 2):
        if float(np.array(one) @ np.array(other)) <= FACING + NORMAL_ROUNDING:
            first = program.variable()
            for index in sorted(by_normal[one]):
                program.row(RULE, [(variables.candidates[index], 1), (first, -1), (together, 1)], high=1, about=about)
            for index in sorted(by_normal[other]):
                program.row(RULE, [(variables.candidates[index], 1), (first, 1), (together, 1)], high=2, about=about)


def _by_part(problem: Problem) -> dict[tuple[int, tuple[float, ...]], set[int]]:
    """Return the locators by the part they push and the direction in which they do, pins in holes left out."""
    groups: dict[tuple[int, tuple[float, ...]], set[int]] = {}
    rounded: dict[bytes, tuple[float, ...]] = {}
    for index, candidate in enumerate(problem.candidates):
        for meeting in candidate.meetings if not candidate.clamp else ():
            if meeting.face.startswith("cutout:"):
                continue
            key = meeting.normal.tobytes()
            if key not in rounded:
                rounded[key] = tuple((np.round(meeting.normal, 4) + 0.0).tolist())
            groups.setdefault((meeting.part, rounded[key]), set()).add(index)
    return groups


def _facing(problem: Problem) -> Iterator[tuple[str, set[int], set[int]]]:
    """Yield a part's id, the locators that push it one way, and those that push it, or what it lies against, the other way."""
    groups = _by_part(problem)
    done: set[frozenset[tuple[int, tuple[float, ...]]]] = set()
    for one in sorted(groups):
        part, normal = one
        ahead = _ahead(problem.laid, part, np.array(normal))
        for other in sorted(groups):
            pair = frozenset((one, other))
            if other[0] not in ahead or pair in done or float(np.array(normal) @ np.array(other[1])) > FACING + NORMAL_ROUNDING:
                continue
            done.add(pair)
            if other[0] != part or not upright_round(problem.laid.parts[part]):
                yield problem.laid.parts[part].id, groups[one], groups[other]


def _ahead(laid: LaidWeldment, part: int, normal: Array) -> set[int]:
    """Return a part and all parts it pushes along a direction, one against the next."""
    found, waiting = {part}, [part]
    while waiting:
        pushing = waiting.pop()
        for touch in laid.touches:
            if touch.other == pushing and touch.part not in found and float(touch.normal @ normal) > AGAINST:
                found.add(touch.part)
                waiting.append(touch.part)
    return found
