"""Accurate: locators stand so that conditioning and toleranced points keep their limits.

In words: a choice that is not true enough lets its parts make a small motion q, within its locators' errors, that takes the
toleranced point too far; every choice whose locators all let q happen is no truer, so one at least must resist it.
Formula: sum {x_i : |n_i . q(r_i)| > error_i} >= 1.
For conditioning q is what a part's contacts resist least: a part in condition has a locator that resists it by a share of its
limit. Where parts or table do not follow q, only the same locators together are not returned again, without one more: what is
asked of their places would shut out fixtures that are true enough by other means, an end or a rest elsewhere.
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

from collections.abc import Iterator
from dataclasses import dataclass

from solver.model.choice import Choice, Refusal
from solver.model.families import Broken, OnDemand
from solver.model.program import Rows
from solver.position.locating_errors import LocatingViolation, locating_violations


@dataclass
class Accurate(OnDemand):
    """Condition and tolerances, asked for the worst that a choice breaks of each part."""

    def broken(self, choice: Choice) -> Iterator[Broken]:
        """Yield the rows that ask for more than a choice's locators gave."""
        seen: set[int] = set()
        for worst in locating_violations(self.problem, choice.candidates):
            if worst.part not in seen:
                seen.add(worst.part)
                yield Broken(self._rows(worst), Refusal(worst.rule, worst.text(self.problem), choice.cents))

    def _rows(self, broken: LocatingViolation) -> Rows:
        rows, binaries = Rows(), self.variables.candidates
        if broken.needed is not None:
            rows.row(broken.rule, [(binaries[index], 1) for index in sorted(broken.needed)], 1)
        else:
            standing = set(broken.locators)
            parts = frozenset().union(*(self.problem.candidates[index].parts for index in standing))
            more = [
                (binaries[index], 1)
                for index, candidate in enumerate(self.problem.candidates)
                if index not in standing and not candidate.clamp and candidate.parts & parts
            ]
            rows.row(broken.rule, [*((binaries[index], -1) for index in broken.locators), *more], 1 - len(broken.locators))
        return rows
