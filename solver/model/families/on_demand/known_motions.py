"""Known motions: what undid a choice once, on a like part or at another position, undoes no choice here.

In words: a motion that undid one choice often undoes others. Every choice is tried against all motions known by now, which costs
next to nothing; those that undo it are asked of all candidates: one round of rows instead of many.
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

from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from solver.model.choice import Choice
from solver.model.families import Broken, OnDemand
from solver.model.program import Rows
from solver.statics import cut_of_twist


@dataclass
class KnownMotions(OnDemand):
    """Motions that undid choices here or at other positions, asked once they undo another choice here."""

    def broken(self, choice: Choice) -> Iterator[Broken]:
        """Yield what the motions known by now that undo a choice ask of the candidates."""
        rows = self.rows(self.holding.undoing(choice.candidates))
        if rows.rows:
            yield Broken(rows)

    def rows(self, motions: Iterable[int]) -> Rows:
        """Return what some motions (by number), those not asked yet, ask of the candidates."""
        rows, binaries = Rows(), self.variables.candidates
        for number in motions:
            if number in self.holding.asked:
                continue
            cut = cut_of_twist(self.holding.ask(number), self.holding.forces, self.holding.cases, len(binaries))
            whole = cut.integer() if cut is not None else None
            if whole is not None:
                rows.row(
                    "hold.handling_n", [(binaries[k], int(c)) for k, c in enumerate(whole.coefficients) if c], whole.right_side
                )
        return rows
