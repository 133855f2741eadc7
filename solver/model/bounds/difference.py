"""Different: another alternative than those already found, in a way a planner cares about.

In words: counting what each piece does - which part and face it touches, with which item - two alternatives differ by
what is in one and not in the other, both ways added. Sliding a piece along changes nothing of that.
Formula: for each entry k: n_k - m_k = over_k - under_k, one of them 0;  sum (over_k + under_k) >= differ_by.
Source: what counts as another alternative (the page answer.md); roles are left out here, which only asks for more.

Example:

```text
   found:      rail side:0 stop-60-15 x2, rail end pin x1
   no other:   the same two stops a hole farther on                    differs by 0
   another:    rail side:0 stop-25-15 x2, rail end pin x1                 differs by 2 + 2 = 4
```
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence

from solver.model.program import Program
from solver.model.variables import Variables
from solver.position.problem import Problem

Entry = tuple[int, str, str]
Signature = Counter[Entry]


def entries_of(problem: Problem, index: int) -> Signature:
    """Return the (part, face, item) entries of one candidate."""
    candidate = problem.candidates[index]
    return Counter((meeting.part, meeting.face, candidate.stack.top.id) for meeting in candidate.meetings)


def signature(problem: Problem, chosen: Sequence[int]) -> Signature:
    """Return the entries of a whole choice."""
    total: Signature = Counter()
    for index in chosen:
        total.update(entries_of(problem, index))
    return total


def differ(program: Program, variables: Variables, problem: Problem, unlike: Sequence[Signature]) -> Program:
    """Return a copy of the program that also asks for a difference from each of the signatures."""
    copy = program.copy()
    users: dict[Entry, list[tuple[int, int]]] = {}
    for index in range(len(problem.candidates)):
        for entry, count in entries_of(problem, index).items():
            users.setdefault(entry, []).append((variables.candidates[index], count))
    least = int(problem.request.rules["alternatives.differ_by"])
    for other in unlike:
        away: list[tuple[int, int]] = [term for entry, terms in users.items() if entry not in other for term in terms]
        given = sum(count for entry, count in other.items() if entry not in users)
        for entry, wanted in sorted(other.items()):
            if entry not in users:
                continue
            most = sum(count for _, count in users[entry])
            over, under, more = copy.variable(0, most), copy.variable(0, wanted), copy.variable()
            copy.row("alternatives.differ_by", [*users[entry], (over, -1), (under, 1)], wanted, wanted)
            copy.row("alternatives.differ_by", [(over, 1), (more, -most)], high=0)
            copy.row("alternatives.differ_by", [(under, 1), (more, wanted)], high=wanted)
            away += [(over, 1), (under, 1)]
        copy.row("alternatives.differ_by", away, max(0, least - given))
    return copy
