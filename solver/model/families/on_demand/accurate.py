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

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np

from inventory.shapes import Array
from solver.hardware.candidates import Candidate
from solver.model.choice import Choice, Refusal
from solver.model.families import Broken, OnDemand
from solver.model.program import Rows, Term
from solver.position.locating_errors import LocatingViolation, locating_violations
from solver.position.resisting_motion import locator_error_mm

WIDER = 1.0


@dataclass
class Accurate(OnDemand):
    """Condition and tolerances, asked for the worst that a choice breaks of each part."""

    def broken(self, choice: Choice) -> Iterator[Broken]:
        """Yield the rows that ask for more than a choice's locators gave."""
        seen: set[int] = set()
        for worst in locating_violations(self.problem, choice.candidates):
            if worst.part not in seen:
                seen.add(worst.part)
                yield Broken(self._rows(worst, choice.sides), Refusal(worst.rule, worst.text(self.problem), choice.cents))

    def _rows(self, broken: LocatingViolation, sides: Sequence[int]) -> Rows:
        rows, binaries, groups = Rows(), self.variables.candidates, self.problem.groups
        if broken.needed is not None:
            rows.row(broken.rule, [(binaries[index], 1) for index in sorted(broken.needed)], 1)
            return rows
        rows.row(broken.rule, [(binaries[index], -1) for index in broken.locators], 1 - len(broken.locators))
        if any(groups[g].around for g in sides):
            return rows
        concerned = {part for index in broken.locators for part in self.problem.candidates[index].parts}
        better = [term for g in sides if groups[g].part in concerned for term in self._wider(rows, g, broken.locators)]
        if better:
            rows.row(broken.rule, better, 1)
        return rows

    def _wider(self, rows: Rows, number: int, locators: Sequence[int]) -> list[Term]:
        """Return binaries of which one must be 1 for a group to stand wider, or for another group to serve as the side."""
        binaries, group = self.variables.candidates, self.problem.groups[number]
        across = np.array([-group.normal[1], group.normal[0], 0.0])
        places: dict[int, float] = {}
        for index, candidate in enumerate(self.problem.candidates):
            place = _place(candidate, group.part, group.normal, across)
            if place is not None and not candidate.clamp:
                places[index] = place
        chosen = [index for index in locators if index in places]
        other = rows.variable()
        rows.row("accurate", [(other, 1), (self.variables.side[number], 1)], high=1)
        if len(chosen) < 2:
            return [(other, 1)]
        span = max(places[k] for k in chosen) - min(places[k] for k in chosen)
        errors = {index: locator_error_mm(self.problem.candidates[index], group.normal) for index in places}
        worst = max(errors[k] for k in chosen)
        truer = {index for index, error in errors.items() if error < worst - 1e-9}
        terms = [(other, 1)]
        for start in sorted({round(place, 3) for place in places.values()}):
            first = {index for index, place in places.items() if place <= start + 1e-3} | truer
            last = {index for index, place in places.items() if place >= start + span + WIDER} | truer
            if not first or not last:
                continue
            b = rows.variable()
            for picked in (first, last):
                rows.row("accurate", [*((binaries[index], 1) for index in sorted(picked)), (b, -1)], 0)
            terms.append((b, 1))
        return terms


def _place(candidate: Candidate, part: int, normal: Array, across: Array) -> float | None:
    for meeting in candidate.meetings:
        sideways = meeting.sideways
        if meeting.part == part and sideways is not None and float(sideways @ normal) > 1 - 1e-4:
            return float(meeting.at @ across)
    return None
