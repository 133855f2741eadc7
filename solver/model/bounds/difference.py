"""Different: another kit than those of the alternatives already found.

In words: a kit is every piece placed, by item. Another alternative leaves at least one piece of each found kit on the shelf: the
same pieces elsewhere, or with others beside them, are no answer when some of them are gone. On the same table, with the same side
down, the two kits differ by at least alternatives.kit_pieces pieces, those in one and not in the other, both ways added.
Formula: for each item i of a found kit: n_i - m_i = over_i - under_i, one of them 0;  sum under_i >= 1;
sum (over_i + under_i) + sum {n_i : i not in it} >= kit_pieces.
Source: what counts as another alternative (the page answer.md).

Example:

```text
   found:      3 stops, 1 pin, 2 clamps
   no other:   the same pieces a hole farther on, or 1 rest more       nothing of the kit is left
   another:    2 stops, 1 swivel stop, 1 pin, 2 clamps                  differs by 1 + 1 = 2
```
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass

from solver.cost import fixtures_on_table
from solver.model.program import Program
from solver.model.variables import Variables
from solver.position.problem import Problem

Kit = Counter[str]
"""Pieces by item."""
RULE = "alternatives.kit_pieces"


@dataclass(frozen=True)
class Unlike:
    """A kit that another alternative must not be, and by how many pieces it must differ."""

    kit: Kit
    pieces: int


def kit_of(problem: Problem, chosen: Sequence[int]) -> Kit:
    """Return the pieces of a whole choice, at all stations."""
    total: Kit = Counter()
    for index in chosen:
        total.update(problem.pieces[index])
    stations = fixtures_on_table(problem.request)
    return Counter({item: stations * count for item, count in total.items()})


def differ(program: Program, variables: Variables, problem: Problem, unlike: Sequence[Unlike]) -> Program:
    """Return a copy of the program that also asks for a difference from each of some kits."""
    copy, stations = program.copy(), fixtures_on_table(problem.request)
    takes: dict[str, list[tuple[int, int]]] = {}
    for stack, pieces in zip(variables.candidates, problem.pieces, strict=True):
        for item, count in pieces.items():
            takes.setdefault(item, []).append((stack, stations * count))
    for other in unlike:
        _differ(copy, takes, other)
    return copy


def _differ(copy: Program, takes: dict[str, list[tuple[int, int]]], other: Unlike) -> None:
    """Add the rows of one kit; `takes` names the stacks that take pieces of an item."""
    away = [term for item, terms in takes.items() if item not in other.kit for term in terms]
    left: list[tuple[int, int]] = []
    given = sum(count for item, count in other.kit.items() if item not in takes)
    for item, wanted in sorted(other.kit.items()):
        if item not in takes:
            continue
        most = sum(count for _, count in takes[item])
        over, under, more = copy.variable(0, most), copy.variable(0, wanted), copy.variable()
        copy.row(RULE, [*takes[item], (over, -1), (under, 1)], wanted, wanted, about=item)
        copy.row(RULE, [(over, 1), (more, -most)], high=0, about=item)
        copy.row(RULE, [(under, 1), (more, wanted)], high=wanted, about=item)
        away += [(over, 1), (under, 1)]
        left.append((under, 1))
    if not given:
        copy.row(RULE, left, 1)
    copy.row(RULE, away, max(0, other.pieces - given))
