"""Held: every load case is in balance with contacts that only push, friction, and clamps at their rated force.

In words: if a choice is not held there is a slow motion y of the parts in which the load does more work than its contacts
and clamps could take up; every choice must bring what is missing.
Formula: sum h_i(y) x_i >= -y . w - h_always(y), h_i the most work candidate i could take up in the motion, clipped at what
is missing, rounded up; the right side rounded down.
Source: static equilibrium with Coulomb friction; Farkas' lemma. More in docs/model-held.md.

Example:

```text
      5 N  +-----+      |            10 N block, friction 0.2; y: a step towards -x and 0.2 steps down
     ----> |     |      | stop?      -y . w = 5.0 - 2.0 = 3.0 are missing
           +--+--+      |            table:  0.2 N - 0.2 N = 0    stop: its cap, clipped at 3
     =========v=================     clamp of 100 N on top: 40, clipped at 3
            10 N                     row: 3 x_stop + 3 x_clamp >= 3
```
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from solver import statics
from solver.model.choice import Choice, Refusal
from solver.model.families import Broken, OnDemand
from solver.model.families.on_demand.known_motions import KnownMotions
from solver.model.program import Rows
from solver.statics import HoldingFailure, cut_coefficients

RULE = "hold.handling_n"
"""All that holding asks is one demand, whichever load asks it."""


@dataclass
class Held(OnDemand):
    """Balance under every load case, asked of each choice."""

    def broken(self, choice: Choice) -> Iterator[Broken]:
        """Yield what each load case under which a choice is not held asks of all, then what its motion asks on like parts."""
        known = len(self.holding.motions)
        ids = [part.id for part in self.problem.laid.parts]
        verdict = statics.holding_verdict(self.holding.forces.chosen(choice.candidates), self.holding.cases)
        for failure in verdict.failures:
            refusal = Refusal(failure.case.rule, failure.case.text(ids), choice.cents)
            if failure.certificate is not None:
                self.holding.keep(failure.certificate.twist)
            yield Broken(self._rows(failure, choice.candidates), refusal)
        if not verdict.ok:
            new = range(known, len(self.holding.motions))
            like = KnownMotions(self.problem, self.variables, self.holding).rows(new)
            if like.rows:
                yield Broken(like)

    def _rows(self, failure: HoldingFailure, chosen: Sequence[int]) -> Rows:
        """Return what the failure of a choice asks of every other; if no cut says so, only that it is not returned again."""
        rows, binaries = Rows(), self.variables.candidates
        cut = None
        if failure.certificate is not None:
            cut = cut_coefficients(failure.certificate, self.holding.forces, len(binaries), chosen)
        whole = cut.integer() if cut is not None else None
        if whole is None:
            rows.row(RULE, [(binaries[index], -1) for index in chosen], 1 - len(chosen))
            return rows
        terms = [(binaries[k], int(c)) for k, c in enumerate(whole.coefficients) if c and k != whole.worst]
        if whole.worst is not None:
            hinders = rows.variable()
            for index in (whole.worst, *whole.like):
                rows.row("hinders", [(hinders, 1), (binaries[index], -1)], 0)
            terms.append((hinders, int(whole.coefficients[whole.worst])))
        rows.row(RULE, terms, whole.right_side)
        return rows
