"""Which order of loading is meant: a binary for each that differs in some part's case, and what holds in a case.

Formula: sum o = 1;  case_k = sum {o : k is a case of o}.

Example:

```text
   orders   t b l,  b t l        (t: through tube, b: branch, l: lug)
   cases    t alone = o1,  b after t = o1,  b alone = o2,  t after b = o2,  l after b = o1 + o2 = 1
```
"""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass

from solver.laying.laid_weldment import LaidWeldment
from solver.laying.order_choices import OrderChoices
from solver.model.program import Program


@dataclass(frozen=True)
class OrderCase:
    """A part (by its index) with the weldment in an order in which it is this case, and the variable that says it is."""

    part: int
    laid: LaidWeldment
    holds: int


@dataclass(frozen=True)
class OrderVariables:
    """The binary of each set of orders that are alike in all parts, and the cases that some of them have, by number."""

    alike: Mapping[int, tuple[int, ...]]
    """By binary, the numbers of the orders it stands for."""
    cases: Mapping[int, OrderCase]

    def of_part(self, part: int) -> list[tuple[int, OrderCase]]:
        """Return a part's cases with their numbers."""
        return [(number, case) for number, case in self.cases.items() if case.part == part]


def declare_orders(program: Program, choices: OrderChoices, numbers: Collection[int]) -> OrderVariables:
    """Add the variables of some orders (by number) and the rows that say what they mean."""
    alike: dict[tuple[int, ...], list[int]] = {}
    for number in sorted(numbers):
        alike.setdefault(tuple(choices.of_order[number].tolist()), []).append(number)
    order = {cases: program.variable() for cases in alike}
    program.row("order", [(variable, 1) for variable in order.values()], 1, 1)
    users: dict[int, list[int]] = {}
    for cases, variable in order.items():
        for case in cases:
            users.setdefault(case, []).append(variable)
    found: dict[int, OrderCase] = {}
    for number in sorted(users):
        holds = program.variable()
        program.row("order", [*((variable, 1) for variable in users[number]), (holds, -1)], 0, 0)
        part, laid = choices.cases[number]
        found[number] = OrderCase(part, laid, holds)
    return OrderVariables({variable: tuple(alike[cases]) for cases, variable in order.items()}, found)


def in_cases(amounts: Sequence[tuple[OrderCase, int]]) -> list[tuple[int, int]]:
    """Return terms that take off what is asked in whichever case holds."""
    return [(case.holds, -amount) for case, amount in amounts if amount]
