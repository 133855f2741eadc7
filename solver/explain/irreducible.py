"""Irreducible reasons: demands of the model that cannot all be met at one position, and can as soon as any one is dropped.

In words: a demand is one rule asked of one part, weld or item, or of the whole. Demands are dropped one after the other, all of
one rule together where that goes; what leaves the rest impossible stays out, what would make it possible stays in. Formula: the
deletion filter for an irreducible infeasible subset. The rule book says in which turn: rules before stock, so that a missing
piece is named rather than the rule that wants it.
Source: deletion filter, J. Chinneck, Feasibility and Infeasibility in Optimization (2008), ch. 6, source not checked.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace
from itertools import groupby

from solver.deadline import Deadline
from solver.model.cpsat import solve
from solver.model.program import DEFINING, INFINITE, PRICING, Program, Row
from solver.model.witness import witness
from solver.rule_book import hindrance_of

APART = "clear.body"


@dataclass(frozen=True, slots=True, order=True)
class Demand:
    """One rule asked of one part, weld, item or (about empty) the whole."""

    rule: str
    about: str


@dataclass(frozen=True, slots=True)
class IrreducibleConflict:
    """Demands that cannot all be met; `minimal` if dropping any one is known to make room, `sure` if both solvers agree."""

    demands: tuple[Demand, ...]
    minimal: bool
    sure: bool


def demand_of(row: Row) -> Demand:
    """Return the demand a row belongs to."""
    return Demand(row.family.split(" ")[0], row.about)


def demands_of(program: Program) -> list[Demand]:
    """Return all demands of a program, those to be dropped first in front."""
    found = {demand_of(row) for row in program.rows if row.family not in PRICING + DEFINING}
    if program.cliques:
        found.add(Demand(APART, ""))
    return sorted(found, key=lambda demand: (_turn(demand), demand))


def _turn(demand: Demand) -> int:
    turn = hindrance_of(demand.rule).turn
    if turn is None:
        raise KeyError(f"the rule book does not say when {demand.rule} is dropped")
    return turn


def only(program: Program, demands: Iterable[Demand]) -> Program:
    """Return a program that asks these demands only, at no price."""
    kept = set(demands)
    rows = [row for row in program.rows if row.family in DEFINING or (row.family not in PRICING and demand_of(row) in kept)]
    cliques = program.cliques if Demand(APART, "") in kept else []
    return replace(program, rows=rows, cliques=cliques, objective={}, constant=0)


def irreducible(program: Program, deadline: Deadline, first: Iterable[Demand] = ()) -> IrreducibleConflict | None:
    """Return demands that cannot all be met, none of them superfluous; None if they can, or nothing was proved in time.

    Parameters
    ----------
    first : iterable of Demand
        Demands to drop before all others.
    """
    if not _impossible(program, demands_of(program), deadline):
        return None
    ahead = list(first)
    kept = demands_of(program)
    kept = [demand for demand in ahead if demand in kept] + [demand for demand in kept if demand not in ahead]
    minimal = True
    for _, alike in groupby(list(kept), key=lambda demand: demand.rule):
        group = list(alike)
        rest = [other for other in kept if other not in group]
        if len(group) > 1 and _impossible(program, rest, deadline):
            kept = rest
            continue
        for demand in group:
            rest = [other for other in kept if other != demand]
            impossible = _impossible(program, rest, deadline)
            if impossible:
                kept = rest
            minimal &= impossible is not None
    verdict, _ = witness(only(program, kept), deadline.seconds_left())
    return IrreducibleConflict(tuple(sorted(kept, key=lambda demand: (-_turn(demand), demand))), minimal, verdict == "infeasible")


def needed(program: Program, item: str, conflict: IrreducibleConflict, deadline: Deadline) -> int | None:
    """Return how many pieces of an item the conflict's other demands take at least, all else as counted; None if not known."""
    rows = [row for row in program.rows if row.family.startswith("stock.counted") and row.about == item]
    others = [demand for demand in conflict.demands if demand != Demand("stock.counted", item)]
    if not rows or len(others) == len(conflict.demands):
        return None
    asked = only(program, others)
    used = replace(asked, objective={variable: count for variable, count in rows[0].terms if count > 0})
    verdict, value = witness(used, deadline.seconds_left())
    return value if verdict == "optimal" else None


def unlimited(program: Program, items: Iterable[str]) -> Program:
    """Return a program with no limit to the pieces of some items."""
    free = set(items)
    rows = [
        replace(row, high=INFINITE) if row.family.startswith("stock.counted") and row.about in free else row
        for row in program.rows
    ]
    return replace(program, rows=rows)


def _impossible(program: Program, demands: Iterable[Demand], deadline: Deadline) -> bool | None:
    """Return whether these demands cannot all be met; None if it was not found out."""
    if deadline.over:
        return None
    verdict = solve(only(program, demands), seed=1, seconds=deadline.seconds_left()).verdict
    return None if verdict == "unknown" else verdict == "infeasible"
