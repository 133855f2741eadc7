"""Reachable: every weld sample keeps a torch direction, with room for the hand.

Formula: x_i + y_sd <= 1 for each blocker i of direction d at sample s;  sum_d y_sd >= 1.
Source: the rule book's torch.* rules.
"""

from __future__ import annotations

from solver.candidates.problem import Problem
from solver.model.families.ways import keep_one_open
from solver.model.program import Program
from solver.model.variables import Variables


def post(program: Program, variables: Variables, problem: Problem) -> None:
    """Add the rows of this family."""
    for directions in problem.reach:
        keep_one_open(program, variables, "torch.work_tolerance", directions)
