"""What is kept of a plan so that changed rules can be held against it: its rules, and of each alternative bill and limits."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from solver.cost import Bill
from solver.plans import Cost
from solver.rescoring.limits.limit_kind import Rows


@dataclass(frozen=True, slots=True)
class Score:
    """What an alternative's price and limits depend on, with the price it has.

    Parameters
    ----------
    table, down, kit : str, str, mapping
        Where and how it lies, and its pieces by item: alternatives are told apart by them.
    bill : Bill
        All that its price depends on beside rules.
    measured : mapping
        Rows of each kind of limit, by the kind's name: of the request's own weldment under ``""``, of variants under theirs.
    unknown : tuple of str
        Rules whose part in the price cannot be told.
    """

    rank: int
    table: str
    down: str
    kit: Mapping[str, int]
    bill: Bill
    cost: Cost
    setup_s: int
    cycle_s: int
    measured: Mapping[str, Mapping[str, Rows]]
    unknown: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class PlanScore:
    """A plan's rules, every one with its number, and the scores of its alternatives by rank."""

    rules: Mapping[str, float]
    alternatives: tuple[Score, ...]
