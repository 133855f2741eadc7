"""Apart: no two bodies nearer than clear.body, every peg a hole of its own.

In words: of candidates that get in each other's way, at most one stands. Formula: sum over a clique of conflicts <= 1.
Source: the rule book's clear.body.
"""

from __future__ import annotations

import numpy as np

from solver.candidates.problem import Problem
from solver.model.program import Program
from solver.model.variables import Variables


def post(program: Program, variables: Variables, problem: Problem) -> None:
    """Add the cliques of this family."""
    for clique in cover(len(problem.candidates), problem.conflicts):
        program.at_most_one(variables.stands[index] for index in clique)


def cover(count: int, pairs: frozenset[tuple[int, int]]) -> list[tuple[int, ...]]:
    """Return cliques that cover all conflict pairs, grown greedily from the busiest candidate on."""
    if not pairs:
        return []
    left = np.zeros((count, count), dtype=bool)
    rows = np.array(sorted(pairs), dtype=np.intp)
    left[rows[:, 0], rows[:, 1]] = left[rows[:, 1], rows[:, 0]] = True
    conflict = left.copy()
    degree = left.sum(axis=1)
    cliques = []
    while degree.any():
        first = int(degree.argmax())
        common = conflict[first].copy()
        clique = [first]
        weight = np.where(left[first], degree + count, degree * common)
        while common.any():
            nextone = int(np.where(common, weight + count * left[clique].sum(axis=0), -1).argmax())
            if not left[clique, nextone].any():
                break
            clique.append(nextone)
            common &= conflict[nextone]
        members = np.array(clique)
        left[np.ix_(members, members)] = False
        degree = left.sum(axis=1)
        cliques.append(tuple(sorted(clique)))
    return cliques
