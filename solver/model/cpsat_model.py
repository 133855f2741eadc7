"""A program written for CP-SAT, every row as what it is: a clause, at most one, exactly one, or a sum.

In words: most rows count binaries that stand, or stand not. Said as clauses and cliques they need no recognising.
Formula: with m negative coefficients, ``low <= sum +-x_i <= high`` says that low + m to high + m of the literals x_i (or not
x_i, where the coefficient is -1) hold.

Example:

```text
   x_clamp <= x_stop1 + x_stop2     -x_clamp + x_stop1 + x_stop2 >= 0     one of (not x_clamp, x_stop1, x_stop2)
   x_clamp + x_stop <= 1            at most one of (x_clamp, x_stop)
```
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from solver.model.cp_model import cp_model
from solver.model.program import INFINITE, Program, Row, Term


def model_of(program: Program) -> cp_model.CpModel:
    """Return CP-SAT's model of a program, its variables numbered as the program's; the objective without its constant."""
    model = cp_model.CpModel()
    proto = model.proto
    binary = []
    for low, high in zip(program.low, program.high, strict=True):
        proto.variables.add().domain.extend((low, high))
        binary.append(low >= 0 and high <= 1)
    constraints = proto.constraints
    for clique in program.cliques:
        constraints.add().at_most_one.literals.extend(clique)
    for row in program.rows:
        terms = sorted(row.terms)
        if not _as_literals(constraints, row, terms, binary):
            _as_sum(constraints, row, terms)
    if program.objective:
        variables, coefficients = zip(*sorted(program.objective.items()), strict=True)
        proto.objective.vars.extend(variables)
        proto.objective.coeffs.extend(coefficients)
    return model


def _as_literals(constraints: Any, row: Row, terms: Sequence[Term], binary: list[bool]) -> bool:
    """Add a row that only counts binaries, unless it counts farther than to one or from all but one on; return whether it did."""
    literals = []
    shift = 0
    for variable, coefficient in terms:
        if not binary[variable] or not -1 <= coefficient <= 1:
            return False
        literals.append(variable if coefficient > 0 else -variable - 1)
        shift += coefficient < 0
    least, most, count = row.low + shift, row.high + shift, len(terms)
    if least <= 0 and most >= count:
        return True
    if least == 1 and most >= count:
        constraints.add().bool_or.literals.extend(literals)
    elif least == 1 and most == 1:
        constraints.add().exactly_one.literals.extend(literals)
    elif least <= 0 and most == 1:
        constraints.add().at_most_one.literals.extend(literals)
    elif least <= 0 and most == count - 1:
        constraints.add().bool_or.literals.extend([-literal - 1 for literal in literals])
    else:
        return False
    return True


def _as_sum(constraints: Any, row: Row, terms: Sequence[Term]) -> None:
    """Add a row as a sum between two ends."""
    if row.low <= -INFINITE and row.high >= INFINITE:
        return
    linear = constraints.add().linear
    linear.vars.extend([variable for variable, _ in terms])
    linear.coeffs.extend([coefficient for _, coefficient in terms])
    low = cp_model.INT_MIN if row.low <= -INFINITE else row.low
    linear.domain.extend((low, cp_model.INT_MAX if row.high >= INFINITE else row.high))
