"""The constraint families, one a file, in two shapes.

A family **from the start** is a module with one function, ``post(program, variables, problem)``: its rows are what a fixture is;
they cost little to write down and bound the price. A family **on demand** is a class, bound to one position's problem and
variables; its ``broken(choice)`` yields rows for what a choice breaks, one entry for each thing it breaks, and none if the
choice is well. It adds nothing itself: the position's model adds the rows, solves, and asks again. Each folder lists its
families, and nothing else names them.
"""

from __future__ import annotations

from abc import ABC, abstractmethod
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Protocol

from solver.model.choice import Choice, Refusal
from solver.model.holding import Holding
from solver.model.program import Program, Rows
from solver.model.variables import Variables
from solver.position.problem import Problem


class FromStart(Protocol):
    """A family whose rows are written down before anything is solved."""

    def post(self, program: Program, variables: Variables, problem: Problem) -> None:
        """Add the rows of this family."""


@dataclass(frozen=True)
class Broken:
    """Rows for one thing that a choice breaks; `refusal` says what it is where a planner should hear of it."""

    rows: Rows
    refusal: Refusal | None = None


@dataclass
class OnDemand(ABC):
    """A family whose rows are written down for what choices break.

    Parameters
    ----------
    holding : Holding
        The position's statics, which families share.
    """

    problem: Problem
    variables: Variables
    holding: Holding

    @abstractmethod
    def broken(self, choice: Choice) -> Iterator[Broken]:
        """Yield the rows that a choice breaks, that no solution may break again; nothing if it keeps the rule."""
