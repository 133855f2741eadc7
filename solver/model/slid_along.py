"""Slid along: a choice that breaks something is put right with the same pieces at other places of the same faces.

In words: where a choice is not held or not true enough, others at its price mostly are, with the same kit. They are looked for
among few candidates, the truest first: each piece of the choice against the faces it met, each clamp over the parts it met.
Nothing is proved here: what is found is one fixture at a price already known to be the least, or nothing is.

Example:

```text
      v   v                  v          v
   +--------------+       +--------------+      the same two stops, wide apart: held
   |    rail      |       |    rail      |
```
"""

from __future__ import annotations

from solver.hardware.candidates import Candidate
from solver.model.choice import Choice
from solver.model.preferences import preferring
from solver.model.program import Program
from solver.model.variables import Variables
from solver.position.problem import Problem


class SlidAlong:
    """The pieces of one choice against the faces they met, for a program that gets more rows as it is asked."""

    def __init__(self, program: Program, variables: Variables, problem: Problem, choice: Choice) -> None:
        doing = {_doing(problem.candidates[index]) for index in choice.candidates}
        standing = zip(variables.candidates, problem.candidates, strict=True)
        self._out = frozenset(variable for variable, candidate in standing if _doing(candidate) not in doing)
        self._whole, self._rows, self._cliques = program, len(program.rows), len(program.cliques)
        self._few = program.without(self._out)
        self._variables, self._problem, self._cents = variables, problem, choice.cents

    def truest(self) -> Program:
        """Return the program of the truest choice that costs no more, with all rows the whole program has by now."""
        few, whole = self._few, self._whole
        few.low += whole.low[len(few.low) :]
        few.high += whole.high[len(few.high) :]
        few.take_over(whole.rows[self._rows :], whole.cliques[self._cliques :], self._out)
        self._rows, self._cliques = len(whole.rows), len(whole.cliques)
        return preferring(few, self._variables, self._problem, self._cents)


def _doing(candidate: Candidate) -> tuple[object, ...]:
    """Return what stands, whatever its turn and height, and which faces it meets."""
    faces = frozenset((meeting.part, meeting.face) for meeting in candidate.meetings)
    return frozenset(candidate.stack.pieces.items()), faces
