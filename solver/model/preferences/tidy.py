"""Tidy: pads bear fully, few different heights, pieces in whole rows.

In words: of what is equally true, first the one whose pads bear most of what they could, then the one with the fewest different
heights of stacks, then the one whose pieces stand in the fewest rows and columns of holes.
Formula: sum of 500 bare_i x_i + 50 sum of h_k + sum of rows and columns used, with x_i <= h_k for each stack i of height k, and
x_i <= r for its row and its column; bare_i: quarters of pad or face that do not bear, along both directions of its pads.
Source: common practice, no source.

Example:

```text
   two stops half on the face      two stops wholly on it, in one row
     [==]          [==]                [==]        [==]
       +------------+       rather   +------------------+
```
"""

from __future__ import annotations

import numpy as np

from solver.geometry.tolerances import PARALLEL
from solver.hardware.candidates import Candidate, Meeting
from solver.hardware.stacks import Pad
from solver.model.program import Program
from solver.model.variables import Variables
from solver.position.problem import Problem

BARE, HEIGHT, ROW = 500, 50, 1
QUARTERS = 4


def wish(program: Program, variables: Variables, problem: Problem) -> None:
    """Add what does not bear, and how many heights, rows and columns are used."""
    used: dict[tuple[str, float], list[int]] = {}
    bare: dict[int, int] = {}
    for stack, candidate in zip(variables.candidates, problem.candidates, strict=True):
        bare[stack] = BARE * sum(_bare(problem, candidate, meeting) for meeting in candidate.meetings)
        kinds = (("height", _height(candidate)), ("column", float(candidate.hole[0])), ("row", float(candidate.hole[1])))
        for kind in kinds:
            used.setdefault(kind, []).append(stack)
    program.cost({stack: cents for stack, cents in bare.items() if cents})
    for kind, stacks in sorted(used.items()):
        some = program.variable()
        for stack in stacks:
            program.row("preferred", [(stack, 1), (some, -1)], high=0)
        program.cost({some: HEIGHT if kind[0] == "height" else ROW})


def _height(candidate: Candidate) -> float:
    """Return how high the top piece of a stack stands, mm."""
    return round(float(candidate.stack.levels[-1].frame[2, 3]), 3)


def _bare(problem: Problem, candidate: Candidate, meeting: Meeting) -> int:
    """Return how many quarters of the lesser of pad and face do not bear, along both directions of the pad together."""
    pad = _pad_of(candidate, meeting)
    face = next((face for face in problem.laid.parts[meeting.part].faces if face.label == meeting.face), None)
    if pad is None or face is None or face.shape.geom_type == "LineString":
        return 0
    quarters = 0
    for axis, size in ((pad.across, pad.width), (pad.upward, pad.height)):
        lesser = min(size, float(np.ptp(face.corners() @ axis)))
        if lesser > 0:
            quarters += round(QUARTERS * max(0.0, 1 - float(np.ptp(meeting.patch @ axis)) / lesser))
    return quarters


def _pad_of(candidate: Candidate, meeting: Meeting) -> Pad | None:
    """Return the pad of a stack that makes a meeting: of those that look this way the nearest."""
    middle = meeting.patch.mean(axis=0) - candidate.origin

    def off(pad: Pad) -> float:
        return float(np.linalg.norm(pad.at + (candidate.displacement if pad.moves else 0.0) - middle))

    return min((pad for pad in candidate.stack.pads if float(pad.normal @ meeting.normal) > 1 - PARALLEL), key=off, default=None)
