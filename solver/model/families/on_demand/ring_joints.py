"""Joints pressed: clamps press every joint of a ring that is located together, counted without friction.

In words: if a choice leaves some joint unpressed there is a small motion of the parts that opens it and that nothing resists;
every choice that locates the ring together must resist it by a locator, work against it with one clamp more, or with one less
that helps it.
Formula: sum {x_l : l resists y} + sum {x_c : c works against y, not chosen} + sum {1 - x_c : c helps y, chosen} >= together.
Source: the rule book's locate.together; Farkas' lemma.

Example:

```text
   the right tube of a frame lies against stops inside it, no clamp presses it there: moved to the right it opens two joints
   sum {x_c : presses it to the left} + sum {x_l : stands to its right} >= together
```
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np

from solver.laying.laid_weldment import ClosedRing
from solver.model.choice import Choice
from solver.model.families import Broken, OnDemand
from solver.model.program import Rows
from solver.statics import ContactSystem
from solver.statics.joints.pressing import OPENS, OpeningMotion, opening_motion

RULE = "locate.together"


@dataclass
class JointsPressed(OnDemand):
    """Pressed joints, asked of every ring that a choice locates together."""

    def broken(self, choice: Choice) -> Iterator[Broken]:
        """Yield what a motion that opens joints of a ring asks of the candidates."""
        for ring in self.problem.together(choice.candidates):
            system = self.holding.forces.chosen(choice.candidates)
            scales = np.array([part.gyration for part in self.problem.laid.parts])
            motion = opening_motion(system, scales, _joints(system, ring))
            if motion is not None:
                yield Broken(self._rows(motion, ring, choice.candidates))

    def _rows(self, motion: OpeningMotion, ring: ClosedRing, chosen: Sequence[int]) -> Rows:
        rows, binaries, standing = Rows(), self.variables.candidates, set(chosen)
        contacts, clamps = self.holding.forces.contacts, self.holding.forces.clamps
        work = motion.work_of(clamps)
        wanted = set(contacts.owner[motion.resisted_by(contacts)].tolist()) | set(clamps.owner[work < -OPENS].tolist())
        helping = sorted(set(clamps.owner[work > OPENS].tolist()) & standing - wanted)
        together = self.variables.together[self.problem.laid.rings.index(ring)]
        terms = [(binaries[index], 1) for index in sorted(wanted - standing)]
        terms += [(binaries[index], -1) for index in helping]
        rows.row(RULE, [*terms, (together, -1)], -len(helping), about="weldment")
        return rows


def _joints(system: ContactSystem, ring: ClosedRing) -> list[list[int]]:
    """Return for each pair of parts of a ring that meet the places of their contacts."""
    pairs = sorted({(joint.part, joint.other) for joint in ring.joints})
    contacts = system.contacts
    return [np.flatnonzero((contacts.part == part) & (contacts.other == other)).tolist() for part, other in pairs]
