"""Asked pieces: every piece that the request pins stands, and none that it avoids.

In words: a pin is met by a candidate that is such a piece at the seat chosen, with the direction chosen that serves as its part's
side. A candidate that is a piece to avoid stands on no seat, and with no side, at which it is one. Where the request names places
on the table, the model chooses one seat, and what finds no usable hole there does not stand.
Formula: sum seat_j = 1;  x_i + sum {seat_j : i off the table at j} <= 1;
pin, for each seat j: sum {x_i : i fits at j} + sum_g z_gj >= seat_j,  z_gj <= side_g,  z_gj <= sum {x_i : i fits at j if g is
the side};  avoided: x_i + side_g + sum {seat_j : i fits at j} <= 2.
Where a direction of the part at hand is not chosen in this model, or no seat is, pins are met by whatever may fit.
Source: the request's `pins` and `avoid`.

Example:

```text
   pin: a stop as side of rail     x_a, x_b: stops at its long face     z <= side_long,  z <= x_a + x_b,  z >= 1
```
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property

from solver.described_pieces import DescribedPiece
from solver.geometry.hulls import Flags
from solver.model.program import Program, Term
from solver.model.variables import Variables
from solver.position.asked_pieces.fitting import at_seats, may_fit, parts_met
from solver.position.problem import Problem

PINS, AVOID = "request.pins", "request.avoid"
SAME_WAY = 1 - 1e-4
"""A contact looks along a side's direction if the product of the two is above this."""


def post(program: Program, variables: Variables, problem: Problem) -> None:
    """Add the rows of this family."""
    _choose_a_seat(program, variables, problem)
    _name_ends(program, variables, problem)
    for pin in problem.request.pins:
        _pin(program, variables, _Fitting(problem, variables, pin))
    for described in problem.request.avoid:
        _avoid(program, variables, _Fitting(problem, variables, described))


def _choose_a_seat(program: Program, variables: Variables, problem: Problem) -> None:
    if not problem.seats:
        return
    program.row("seat", [(seat, 1) for seat in variables.seat], 1, 1)
    for index, stack in enumerate(variables.candidates):
        off = [(variables.seat[row], 1) for row in problem.off_seat[:, index].nonzero()[0].tolist()]
        if off:
            program.row("seat", [(stack, 1), *off], high=1)


def _name_ends(program: Program, variables: Variables, problem: Problem) -> None:
    """Say that of the contacts all around an upright round part one is its end, if those are what locates it."""
    for index, group in enumerate(problem.groups):
        if group.around and variables.around_end:
            own = [
                end
                for (candidate, number), end in variables.around_end.items()
                if problem.candidates[candidate].meetings[number].part == group.part
            ]
            program.row("end", [*((end, 1) for end in own), (variables.side[index], -1)], 0, 0)
    for (candidate, _), end in variables.around_end.items():
        program.row("end", [(variables.candidates[candidate], 1), (end, -1)], 0)


@dataclass
class _Fitting:
    """The candidates that may be a described piece, and where and with which sides they are."""

    problem: Problem
    variables: Variables
    described: DescribedPiece

    @cached_property
    def rows(self) -> list[int]:
        """The candidates that may fit."""
        laid, table = self.problem.laid, self.problem.table
        return [k for k, candidate in enumerate(self.problem.candidates) if may_fit(self.described, candidate, laid, table)]

    @cached_property
    def stands(self) -> Flags:
        """At which seats each of them stands as described, (seats, rows)."""
        return at_seats(self.described, [self.problem.candidates[k] for k in self.rows], self.problem.seats)

    def seated(self) -> list[tuple[list[int], list[int]]]:
        """Return seats (numbers) at which the same candidates fit, with these; no seats: it does not depend on the seat."""
        if not self.problem.seats or not self.described.placed:
            return [([], self.rows)]
        alike: dict[bytes, list[int]] = {}
        for number, row in enumerate(self.stands):
            alike.setdefault(row.tobytes(), []).append(number)
        return [
            (seats, [k for k, fits in zip(self.rows, self.stands[seats[0]], strict=True) if fits]) for seats in alike.values()
        ]

    @property
    def by_side(self) -> bool:
        """Whether it depends on which direction serves as a part's side."""
        return self.described.role in ("side", "end") and bool(self.problem.groups)

    def terms(self, group: int, index: int) -> list[Term]:
        """Return what is 1 or more if a candidate that stands fits with a group as its part's side; empty if it never does."""
        own, candidate = self.problem.groups[group], self.problem.candidates[index]
        if own.part not in parts_met(self.described, candidate, self.problem.laid):
            return []
        stands = (self.variables.candidates[index], 1)
        level = [(k, m.sideways) for k, m in enumerate(candidate.meetings) if m.part == own.part and m.sideways is not None]
        if own.around:
            ends = [(self.variables.around_end[index, k], 1) for k, _ in level]
            return ends if self.described.role == "end" else [(stands[0], len(ends)), *((end, -1) for end, _ in ends)]
        along = [float(own.normal @ across) > SAME_WAY for _, across in level if across is not None]
        return [stands] if (any(along) if self.described.role == "side" else not all(along)) else []


def _pin(program: Program, variables: Variables, fitting: _Fitting) -> None:
    about = fitting.described.words()
    for seats, rows in fitting.seated():
        chosen = [(variables.seat[number], -1) for number in seats]
        met: list[Term] = [] if fitting.by_side else [(variables.candidates[k], 1) for k in rows]
        for group, side in enumerate(variables.side) if fitting.by_side else ():
            terms = [term for k in rows for term in fitting.terms(group, k)]
            if terms:
                serves = program.variable()
                program.row("end", [(side, 1), (serves, -1)], 0)
                program.row("end", [*terms, (serves, -1)], 0)
                met.append((serves, 1))
        program.row(PINS, [*met, *chosen], 0 if chosen else 1, about=about)


def _avoid(program: Program, variables: Variables, fitting: _Fitting) -> None:
    about, placed = fitting.described.words(), fitting.described.placed
    if placed and not fitting.problem.seats:
        return
    for k, column in zip(fitting.rows, fitting.stands.T, strict=True):
        seats = [(variables.seat[number], 1) for number in column.nonzero()[0].tolist()] if placed else []
        if placed and not seats:
            continue
        if not fitting.by_side:
            if fitting.described.role in (None, "support"):
                program.row(AVOID, [(variables.candidates[k], 1), *seats], high=1 if seats else 0, about=about)
            continue
        for group, side in enumerate(variables.side):
            program_terms = fitting.terms(group, k)
            if program_terms:
                most = max(1, sum(c for _, c in program_terms if c > 0))
                _forbid(program, program_terms, side, seats, most, about)


def _forbid(program: Program, terms: Sequence[Term], side: int, seats: Sequence[Term], most: int, about: str) -> None:
    """Say that what some terms add up to, `most` at most, is nothing with a side chosen and one of some seats."""
    extra = 2 * most if seats else most
    program.row(AVOID, [*terms, (side, most), *((seat, most) for seat, _ in seats)], high=extra, about=about)
