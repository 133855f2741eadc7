"""Known motions: what undid a choice once, on a like part or at another position, undoes no choice here.

In words: a motion that undid one choice often undoes others. Every motion known by now is asked of all candidates, for the
first choice at a position and again whenever a choice was not held: one round of rows instead of many.
Formula: sum h_i(y) x_i >= max over loads w of (-y . w) - h_always(y), for a known motion y, h_i as in the family held, but
never less than 0.
Source: static equilibrium with Coulomb friction; Farkas' lemma, which any motion satisfies.

Example:

```text
   lug 1  turned over about its foot: its stop stood too low
   lug 2  like lug 1, never tried:    high stop 2 or clamp 2 must stand, x_high2 + x_clamp2 >= 1
```
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field

from solver.model.choice import Choice
from solver.model.families import Broken, OnDemand
from solver.model.program import Rows
from solver.statics import cut_of_twist


@dataclass
class KnownMotions(OnDemand):
    """Motions that undid choices at other positions, asked for the first choice here."""

    begun: bool = field(default=False, init=False)

    def broken(self, choice: Choice) -> Iterator[Broken]:
        """Yield what the motions known by now ask of the candidates, the first time."""
        if not self.begun:
            self.begun = True
            rows = self.rows()
            if rows.rows:
                yield Broken(rows)

    def rows(self) -> Rows:
        """Return what the motions known by now, and not asked yet, ask of the candidates."""
        rows, binaries = Rows(), self.variables.candidates
        for motion in self.holding.not_asked():
            cut = cut_of_twist(motion, self.holding.forces, self.holding.cases, len(binaries))
            whole = cut.integer() if cut is not None else None
            if whole is not None:
                rows.row(
                    "hold.handling_n", [(binaries[k], int(c)) for k, c in enumerate(whole.coefficients) if c], whole.right_side
                )
        return rows
