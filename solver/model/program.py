"""An integer program as plain rows: written once, solved by CP-SAT, witnessed by HiGHS."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field

INFINITE = 2**40
PRICING = ("time", "price", "floor")
"""Families of rows that carry the price or repeat what others ask; they shut nothing out."""
DEFINING = ("accurate", "hinders")
"""Families of rows that say what a variable means; they shut nothing out either, but others lean on them."""


@dataclass(frozen=True, slots=True)
class Row:
    """``low <= sum(coefficient * variable) <= high``; all whole numbers.

    `family` names the rule that asked for it (or is one of `PRICING` and `DEFINING`), `about` the part or item it asks it of,
    empty if it speaks of the whole.
    """

    terms: tuple[tuple[int, int], ...]
    low: int
    high: int
    family: str
    about: str = ""


@dataclass
class Program:
    """Whole-number variables with bounds, rows, and an objective to minimise.

    `named` holds, by family and what rows are about, the items that stand in the way of what they ask.
    """

    low: list[int] = field(default_factory=list)
    high: list[int] = field(default_factory=list)
    rows: list[Row] = field(default_factory=list)
    cliques: list[tuple[int, ...]] = field(default_factory=list)
    objective: dict[int, int] = field(default_factory=dict)
    constant: int = 0
    named: dict[tuple[str, str], tuple[str, ...]] = field(default_factory=dict)

    def variable(self, low: int = 0, high: int = 1) -> int:
        """Add a variable and return its index."""
        self.low.append(low)
        self.high.append(high)
        return len(self.low) - 1

    def row(
        self, family: str, terms: Iterable[tuple[int, int]], low: int = -INFINITE, high: int = INFINITE, about: str = ""
    ) -> None:
        """Add a row; terms of the same variable are added up."""
        merged: dict[int, int] = {}
        for variable, coefficient in terms:
            merged[variable] = merged.get(variable, 0) + coefficient
        self.rows.append(Row(tuple((v, c) for v, c in merged.items() if c), low, high, family, about))

    def at_most_one(self, variables: Iterable[int]) -> None:
        """Add a clique: at most one of these binary variables is 1."""
        self.cliques.append(tuple(sorted(set(variables))))

    def cost(self, terms: Mapping[int, int], constant: int = 0) -> None:
        """Add to the objective."""
        for variable, coefficient in terms.items():
            self.objective[variable] = self.objective.get(variable, 0) + coefficient
        self.constant += constant

    def value(self, solution: Mapping[int, int]) -> int:
        """Return the objective at a solution."""
        return self.constant + sum(coefficient * solution[variable] for variable, coefficient in self.objective.items())
