"""Same pieces: what stands for the request's own weldment stands for every variant, in the same holes; only settings differ.

In words: a piece in a hole, turned so and carried so, stands for a variant if and only if it stands for the request's own
weldment, at whatever setting meets the variant's faces. A setting that differs from that of the weldment run before is set anew.
Formula: for each piece in its place k and each variant v: sum {x_i : i is k} = sum {y_vj : j is k};
set anew: c_j >= y_vj - sum {x_i of the run before : i is k, set alike}.
Source: one fixture for a family of sizes (common practice, no source).

Example:

```text
   stop at C7, its face at 12.5 mm for L 500 and at 20 mm for L 507.5      x_C7 = y_C7, c_C7 = 1: 40 s to set it
   stop at C9, its face at 5 mm for both                                   x_C9 = y_C9, c_C9 = 0
```
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from fractions import Fraction

from solver.cost import exact
from solver.hardware.candidates import Candidate
from solver.hardware.stacks import Stack
from solver.model.objective import RunTerms, Timed
from solver.model.program import Program
from solver.model.variables import Variables
from solver.position.problem import Problem

RULE = "variants.same_pieces"
StackName = tuple[tuple[str, float, tuple[float, ...]], ...]
PieceName = tuple[StackName, tuple[int, int]]
"""Which pieces stand on each other, how they are turned, and in which hole of the lattice."""


def stack_name(stack: Stack) -> StackName:
    """Return what tells a stack from others, whichever weldment it was found for: its items, their turns and where they stand."""
    return tuple(
        (level.item.id, round(level.turn % 360.0, 6), tuple(round(value, 4) + 0.0 for value in level.frame[:3, 3].tolist()))
        for level in stack.levels
    )


def piece_name(candidate: Candidate) -> PieceName:
    """Return what stands where, whatever it is set to."""
    return stack_name(candidate.stack), candidate.hole


def set_to(candidate: Candidate) -> float:
    """Return what a candidate's piece is set to, as far as settings are told apart, mm; 0 if nothing is."""
    return round(candidate.setting or 0.0, 3)


@dataclass(frozen=True)
class ProblemVariables:
    """One weldment's problem and its variables."""

    problem: Problem
    variables: Variables

    def by_name(self) -> dict[PieceName, list[int]]:
        """Return the candidates (indices) by what stands where."""
        found: dict[PieceName, list[int]] = {}
        for index, candidate in enumerate(self.problem.candidates):
            found.setdefault(piece_name(candidate), []).append(index)
        return found


def post(program: Program, own: ProblemVariables, before: ProblemVariables, variant: ProblemVariables) -> RunTerms:
    """Add the rows of a variant that runs after `before` on the set-up of `own`; return what it adds to the price."""
    ours, theirs = own.by_name(), variant.by_name()
    for name in [*ours, *(name for name in theirs if name not in ours)]:
        stands = [(own.variables.candidates[index], 1) for index in ours.get(name, ())]
        program.row(RULE, [*stands, *((variant.variables.candidates[index], -1) for index in theirs.get(name, ()))], 0, 0)
    pulls = tuple((variant.problem.times[index].pull_s, [variable]) for index, variable in sorted(variant.variables.pull.items()))
    return RunTerms(tuple(_set_anew(program, before, variant, theirs)), pulls)


def _set_anew(
    program: Program, before: ProblemVariables, variant: ProblemVariables, theirs: dict[PieceName, list[int]]
) -> Iterator[Timed]:
    """Yield the setting time of every piece, and what is 1 if it is set anew for a variant."""
    earlier = before.by_name()
    for name, indices in theirs.items():
        for index in indices:
            candidate = variant.problem.candidates[index]
            seconds: Fraction = exact(candidate.stack.top.set_s)
            if not seconds or candidate.setting is None:
                continue
            alike = [k for k in earlier.get(name, ()) if set_to(before.problem.candidates[k]) == set_to(candidate)]
            stands = variant.variables.candidates[index]
            if not alike:
                yield seconds, [stands]
                continue
            anew = program.variable()
            same = [(before.variables.candidates[k], 1) for k in alike]
            program.row("time", [(anew, 1), (stands, -1), *same], 0)
            yield seconds, [anew]
