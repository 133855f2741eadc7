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

from collections.abc import Sequence

from inventory.shapes import Array
from solver.model.program import Program
from solver.model.variables import Variables
from solver.statics import ContactSystem, Failure, IntegerCut, LoadCases, cut_coefficients, cut_of_twist

RULE = "hold.handling_n"
"""All that holding asks is one demand, whichever load asks it."""


def post(program: Program, variables: Variables, forces: ContactSystem, failure: Failure, chosen: Sequence[int]) -> None:
    """Add what the failure of a choice asks of every other; `forces` are contacts and clamps of all candidates."""
    cut = None
    if failure.certificate is not None:
        cut = cut_coefficients(failure.certificate, forces, len(variables.candidates), chosen)
    whole = cut.integer() if cut is not None else None
    if whole is not None:
        _row(program, variables, whole)
    else:
        program.row(RULE, [(variables.candidates[index], -1) for index in chosen], 1 - len(chosen))


def post_known(program: Program, variables: Variables, forces: ContactSystem, cases: LoadCases, motion: Array) -> None:
    """Add what a motion (P, 6) that undid another choice, on a like part or in another pose, asks of the candidates here."""
    cut = cut_of_twist(motion, forces, cases, len(variables.candidates))
    whole = cut.integer() if cut is not None else None
    if whole is not None:
        _row(program, variables, whole)


def _row(program: Program, variables: Variables, cut: IntegerCut) -> None:
    terms = [(variables.candidates[k], int(c)) for k, c in enumerate(cut.coefficients) if c and k != cut.worst]
    if cut.worst is not None:
        hinders = program.variable()
        for index in (cut.worst, *cut.like):
            program.row("hinders", [(hinders, 1), (variables.candidates[index], -1)], 0)
        terms.append((hinders, int(cut.coefficients[cut.worst])))
    program.row(RULE, terms, cut.right_side)
