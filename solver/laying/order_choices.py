"""Several orders of loading at once: what a part is given by those in before it, said once for all orders alike in it.

Two orders are alike in a part if the same of those it touches are in before it. So what a part needs is asked once a case, and of
all orders the sums over their cases are compared.

Example:

```text
   a T of two tubes and a lug on the branch    orders: t b l,  b t l        (t: through tube, b: branch, l: lug)
   cases                                       t alone, t after b, b alone, b after t, l after b
   sums                                        t alone + b after t + l,  b alone + t after b + l
```
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from inventory.shapes import Array
from solver.geometry.hulls import Index
from solver.laying.laid_weldment import LaidWeldment


@dataclass(frozen=True)
class OrderChoices:
    """The weldment as it lies, once for each order of loading.

    Parameters
    ----------
    laids : tuple of LaidWeldment
        One for each order.
    cases : tuple of (int, LaidWeldment)
        A part's index, and the weldment in an order in which it is that case.
    of_order : (orders, parts) array
        Which case each part is in each order.
    """

    laids: tuple[LaidWeldment, ...]
    cases: tuple[tuple[int, LaidWeldment], ...]
    of_order: Index

    @staticmethod
    def of(laids: Sequence[LaidWeldment]) -> OrderChoices:
        """Return the choices among some orders, at least one."""
        near = {
            part.index: frozenset(touch.other for touch in laids[0].touches if touch.part == part.index and not touch.on_table)
            for part in laids[0].parts
        }
        numbers: dict[tuple[int, frozenset[int]], int] = {}
        cases: list[tuple[int, LaidWeldment]] = []
        rows = []
        for laid in laids:
            row = []
            for part, touching in near.items():
                key = part, touching & frozenset(laid.before(part))
                if key not in numbers:
                    numbers[key] = len(cases)
                    cases.append((part, laid))
                row.append(numbers[key])
            rows.append(row)
        return OrderChoices(tuple(laids), tuple(cases), np.array(rows, dtype=np.intp).reshape(len(laids), len(near)))

    def sums(self, shares: Array) -> Array:
        """Return for what cases cost at least (n, cases) what each order costs at least, (n, orders)."""
        total = np.zeros((len(shares), len(self.laids)))
        for part in range(self.of_order.shape[1]):
            total += shares[:, self.of_order[:, part]]
        return total

    def least(self, shares: Array) -> Array:
        """Return for what cases cost at least (n, cases) what the cheapest order costs at least, (n,)."""
        least: Array = self.sums(shares).min(axis=1, initial=np.inf)
        return least

    def by_part(self, shares: Array) -> Array:
        """Return for what cases cost at least (n, cases) what each part costs at least in any order, (n, parts)."""
        least: Array = shares[:, self.of_order].min(axis=1, initial=np.inf)
        return least
