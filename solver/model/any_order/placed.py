"""Located and spread, whatever the order: each part's side, end and supports as its case asks for them.

In words: as in the families located, spread and long face, with one binary for each direction that may be the part's side in a
case. Cases that ask for the same share their rows.
Formula: sum_g side_gk = case_k;  sum points_i x_i >= sum_k lacking_gk side_gk;  sum across >= sum_k side_gk;
sum b_a >= sum_k side_gk;  sum rests >= sum_k wanted_k case_k;  sum {rests to one side} >= sum {case_k that lack it}.
Source: the families located, spread and long face.

Example:

```text
   branch alone:               two stops at its side, one at its end
   branch after through tube:  the tube is its end             x_a + x_b >= 2 (side_alone + side_after),  x_end >= side_alone
```
"""

from __future__ import annotations

from solver.laying.laid_weldment import LaidPart
from solver.model.any_order.order_variables import OrderCase, OrderVariables, in_cases
from solver.model.families.from_start import located, long_face, spread
from solver.model.program import Program, Term
from solver.model.variables import Variables
from solver.position.problem import Problem
from solver.position.side_groups import SideGroup, SidePoint, groups_of, level_points, tip_points


def post(program: Program, variables: Variables, problem: Problem, orders: OrderVariables) -> None:
    """Add the rows of all parts."""
    offered, tips = level_points(problem.candidates, problem.laid), tip_points(problem.candidates)
    for part in problem.laid.parts:
        cases = [case for _, case in orders.of_part(part.index)]
        groups = [groups_of(offered, case.laid, [part], tips) for case in cases]
        sides = [_one_side(program, case, own, part) for case, own in zip(cases, groups, strict=True)]
        listed = [
            (group, side, own) for own, found in zip(groups, sides, strict=True) for group, side in zip(own, found, strict=True)
        ]
        _sides(program, variables, listed, part)
        _supports(program, variables, problem, cases, part)


def _one_side(program: Program, case: OrderCase, own: list[SideGroup], part: LaidPart) -> list[int]:
    sides = [program.variable() for _ in own]
    program.row("locate.side", [*((side, 1) for side in sides), (case.holds, -1)], 0, 0, about=part.id)
    return sides


def _sides(program: Program, variables: Variables, listed: list[tuple[SideGroup, int, list[SideGroup]]], part: LaidPart) -> None:
    """Ask for points, ends, spacing and long faces of a part's sides: groups with their binaries and all groups of their case."""
    points: dict[tuple[Term, ...], list[Term]] = {}
    ends: dict[tuple[Term, ...], list[Term]] = {}
    wide: dict[tuple[spread.Outermost, ...], list[int]] = {}
    long: dict[tuple[SidePoint, ...], list[int]] = {}
    for group, side, own in listed:
        lacking = located.points_lacking(group)
        if lacking > 0:
            points.setdefault(tuple(located.point_terms(group, variables)), []).append((side, -lacking))
        across = located.end_terms(group, own, variables)
        if across is not None:
            ends.setdefault(tuple(across), []).append((side, -1))
        pairs = spread.outermost(group, variables) if group.spacing > 0 else None
        if pairs is not None:
            wide.setdefault(tuple(pairs), []).append(side)
        long.setdefault(group.points, []).append(side)
    for family, rows in (("locate.side", points), ("locate.end", ends)):
        for terms, asked in rows.items():
            program.row(family, [*terms, *asked], 0, about=part.id)
    for outermost, serving in wide.items():
        spread.ask(program, outermost, serving, part.id)
    for contacts, serving in long.items():
        long_face.ask(program, variables, contacts, serving, part.id)


def _supports(program: Program, variables: Variables, problem: Problem, cases: list[OrderCase], part: LaidPart) -> None:
    rests = problem.supports[part.index]
    asked: list[tuple[OrderCase, int]] = []
    lacking: dict[frozenset[int], list[tuple[OrderCase, int]]] = {}
    for case in cases:
        wanted, sides = located.supports_wanted(case.laid, part.index, rests)
        asked.append((case, max(0, wanted)))
        for side in sides:
            lacking.setdefault(side, []).append((case, 1))
    if any(wanted for _, wanted in asked):
        standing = [(variables.candidates[index], 1) for index, _ in rests]
        program.row("locate.support_points", [*standing, *in_cases(asked)], 0, about=part.id)
    for side, lacked in lacking.items():
        bearing = [(variables.candidates[index], 1) for index in sorted(side)]
        program.row("locate.support", [*bearing, *in_cases(lacked)], 0, about=part.id)
