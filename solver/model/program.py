"""An integer program as plain rows: written once, solved by CP-SAT, witnessed by HiGHS."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence, Set
from dataclasses import dataclass, field, replace

INFINITE = 2**60
LARGEST = 2**30
"""No row's terms add up to more than this: CP-SAT's presolve adds some of them up in 32 bits."""
Term = tuple[int, int]
"""A variable and its coefficient."""
PRICING = ("time", "price", "floor", "preferred")
"""Families of rows that carry the price or a preference, or repeat what others ask; they shut nothing out."""
DEFINING = ("hinders", "seat", "end", "ring")
"""Families of rows that say what a variable means; they shut nothing out either, but others lean on them."""


@dataclass(frozen=True, slots=True)
class Row:
    """``low <= sum(coefficient * variable) <= high``; all whole numbers.

    `family` names the rule that asked for it (or is one of `PRICING` and `DEFINING`), `about` the part or item it asks it of,
    empty if it speaks of the whole.
    """

    terms: tuple[Term, ...]
    low: int
    high: int
    family: str
    about: str = ""


@dataclass
class Rows:
    """Rows and cliques to be added to a program; variables they bring along are numbered -1, -2, ... until then.

    `named` holds, by family and what rows are about, the items that stand in the way of what they ask.
    """

    low: list[int] = field(default_factory=list)
    high: list[int] = field(default_factory=list)
    rows: list[Row] = field(default_factory=list)
    cliques: list[tuple[int, ...]] = field(default_factory=list)
    named: dict[tuple[str, str], tuple[str, ...]] = field(default_factory=dict)

    def variable(self, low: int = 0, high: int = 1) -> int:
        """Add a variable and return its number."""
        self.low.append(low)
        self.high.append(high)
        return -len(self.low)

    def row(self, family: str, terms: Iterable[Term], low: int = -INFINITE, high: int = INFINITE, about: str = "") -> None:
        """Add a row; terms of the same variable are added up."""
        listed = tuple(terms)
        merged = dict(listed)
        if len(merged) < len(listed) or 0 in merged.values():
            merged = {}
            for variable, coefficient in listed:
                merged[variable] = merged.get(variable, 0) + coefficient
            listed = tuple((v, c) for v, c in merged.items() if c)
        self.rows.append(Row(listed, low, high, family, about))

    def at_most_one(self, variables: Iterable[int]) -> None:
        """Add a clique: at most one of these binary variables is 1."""
        self.cliques.append(tuple(sorted(set(variables))))


@dataclass
class Program(Rows):
    """Whole-number variables with bounds, rows, and an objective to minimise; its variables are numbered 0, 1, ...

    `farthest` is the largest bound any variable was declared with, whatever its sign.
    """

    objective: dict[int, int] = field(default_factory=dict)
    constant: int = 0
    farthest: int = 0

    def variable(self, low: int = 0, high: int = 1) -> int:
        """Add a variable and return its number."""
        self.farthest = max(self.farthest, abs(low), abs(high))
        return -super().variable(low, high) - 1

    def row(self, family: str, terms: Iterable[Term], low: int = -INFINITE, high: int = INFINITE, about: str = "") -> None:
        """Add a row; terms of the same variable are added up. One that reaches too far is added as several that say the same."""
        super().row(family, terms, low, high, about)
        terms = self.rows[-1].terms
        if self.farthest * sum([abs(c) for _, c in terms]) > LARGEST and self._reach(terms) > LARGEST:
            row = self.rows.pop()
            if row.low > -INFINITE:
                self._at_most(replace(row, terms=tuple((v, -c) for v, c in row.terms), low=-INFINITE, high=-row.low))
            if row.high < INFINITE:
                self._at_most(replace(row, low=-INFINITE))

    def add(self, more: Rows) -> None:
        """Add rows, cliques and their own variables."""
        number = {-1 - k: self.variable(low, high) for k, (low, high) in enumerate(zip(more.low, more.high, strict=True))}
        for row in more.rows:
            self.row(row.family, ((number.get(v, v), c) for v, c in row.terms), row.low, row.high, row.about)
        for clique in more.cliques:
            self.at_most_one(number.get(v, v) for v in clique)
        self.named |= more.named

    def cost(self, terms: Mapping[int, int], constant: int = 0) -> None:
        """Add to the objective."""
        for variable, coefficient in terms.items():
            self.objective[variable] = self.objective.get(variable, 0) + coefficient
        self.constant += constant

    def value(self, solution: Sequence[int]) -> int:
        """Return the objective at a solution, a value for each variable."""
        return self.constant + sum(coefficient * solution[variable] for variable, coefficient in self.objective.items())

    def copy(self) -> Program:
        """Return a program to which more can be added without changing this one."""
        return Program(
            list(self.low), list(self.high), list(self.rows), list(self.cliques), dict(self.named), dict(self.objective),
            self.constant, self.farthest,
        )  # fmt: skip

    def without(self, out: Set[int]) -> Program:
        """Return a copy, numbered alike, in which some variables stay 0."""
        copy = replace(self, low=list(self.low), high=list(self.high), rows=[], cliques=[], named=dict(self.named))
        for variable in out:
            copy.high[variable] = 0
        copy.take_over(self.rows, self.cliques, out)
        copy.objective = {variable: cents for variable, cents in self.objective.items() if variable not in out}
        return copy

    def take_over(self, rows: Iterable[Row], cliques: Iterable[tuple[int, ...]], out: Set[int]) -> None:
        """Add rows and cliques of another program numbered alike, less some variables that stay 0."""
        for row in rows:
            terms = tuple([term for term in row.terms if term[0] not in out])
            if len(terms) == len(row.terms):
                self.rows.append(row)
            elif terms or row.low > 0 or row.high < 0:
                self.rows.append(Row(terms, row.low, row.high, row.family, row.about))
        for clique in cliques:
            inside = tuple([variable for variable in clique if variable not in out])
            if len(inside) > 1:
                self.cliques.append(inside)

    def _reach(self, terms: Iterable[Term]) -> int:
        """Return what a row's terms could add up to at most, whatever their signs."""
        return sum(abs(coefficient) * max(abs(self.low[v]), abs(self.high[v])) for v, coefficient in terms)

    def _at_most(self, row: Row) -> None:
        """Add ``sum <= high`` as rows that keep their terms small: low digits with a carry, and the rest with it.

        With ``c = base * c1 + c0`` for every coefficient and the high end, the row holds if and only if there is a whole
        number k with ``sum c0 x <= base * k + high0`` and ``sum c1 x + k <= high1``: k rounded up from the first will do.
        """
        if self._reach(row.terms) <= LARGEST:
            self.rows.append(row)
            return
        base = self._base(row.terms)
        digits = [(v, c % base) for v, c in row.terms]
        high, last = divmod(row.high, base)
        least, most = self._span(digits)
        carry = self.variable(-((last - least) // base), -((last - most) // base))
        self._at_most(replace(row, terms=(*((v, c) for v, c in digits if c), (carry, -base)), high=last))
        self._at_most(replace(row, terms=(*((v, c // base) for v, c in row.terms if c // base), (carry, 1)), high=high))

    def _base(self, terms: Sequence[Term]) -> int:
        """Return the largest power of two for which the row of low digits, with its carry, stays small."""
        base = LARGEST
        while base > 1:
            least, most = self._span([(v, c % base) for v, c in terms])
            if most - least + 2 * max(abs(least), abs(most)) + 2 * base <= LARGEST:
                return base
            base //= 2
        raise ValueError(f"{len(terms)} variables reach too far for rows that stay below {LARGEST}")

    def _span(self, terms: Iterable[Term]) -> tuple[int, int]:
        """Return the least and the most a row's terms can add up to."""
        ends = [sorted((c * self.low[v], c * self.high[v])) for v, c in terms]
        return sum(low for low, _ in ends), sum(high for _, high in ends)
