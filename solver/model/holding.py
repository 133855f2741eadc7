"""What holding is judged by at one lattice position: forces, load cases, and motions known to undo a choice."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from functools import cached_property

import numpy as np

from inventory.shapes import Array
from solver import statics
from solver.position.contact_system import contact_system_of, load_cases_of
from solver.position.problem import Problem
from solver.statics import ContactSystem, LoadCases
from solver.weldment import Part

MOST_MOTIONS = 200
"""So many motions are kept for a whole search."""


@dataclass
class Holding:
    """The statics of a position.

    `motions` undid a choice before, here or at another position that shares the list (weldment as drawn); those `asked` (by
    number) are in the rows.
    """

    problem: Problem
    motions: list[Array] = field(default_factory=list)
    asked: set[int] = field(default_factory=set)
    _turned: list[Array] = field(default_factory=list)
    _demanded: list[float] = field(default_factory=list)

    @cached_property
    def forces(self) -> ContactSystem:
        """All that could push on the parts."""
        return contact_system_of(self.problem)

    @cached_property
    def cases(self) -> LoadCases:
        """The load cases of this lie."""
        return load_cases_of(self.problem.laid)

    def keep(self, twist: Array) -> None:
        """Keep a motion (P, 6) that undid a choice, for like parts and other positions."""
        if len(self.motions) < MOST_MOTIONS:
            moving = statics.moving_alone(twist)
            like = self._like(moving) if moving is not None else []
            for motion in (twist, *statics.on_like_parts(twist, like)):
                self.motions.append(statics.turned_twist(motion, self.problem.laid.rotation.T))

    def undoing(self, chosen: Sequence[int]) -> list[int]:
        """Return which motions known by now, and not asked yet, undo a choice of candidates."""
        waiting = [number for number in range(len(self.motions)) if number not in self.asked]
        if not waiting:
            return []
        self._take_over()
        demanded = np.array([self._demanded[number] for number in waiting])
        found = statics.undoing(np.array([self._turned[number] for number in waiting]), demanded, self.forces.chosen(chosen))
        return [waiting[k] for k in found.tolist()]

    def ask(self, number: int) -> Array:
        """Return a motion, turned with the weldment; it counts as asked."""
        self._take_over()
        self.asked.add(number)
        return self._turned[number]

    def _take_over(self) -> None:
        """Turn motions that are new here with the weldment, and find what loads demand under them."""
        new = [statics.turned_twist(motion, self.problem.laid.rotation) for motion in self.motions[len(self._turned) :]]
        if new:
            self._turned += new
            self._demanded += statics.demands(np.array(new), self.forces.part_weights, self.cases).tolist()

    def _like(self, index: int) -> list[int]:
        """Return the parts of one section and length, cut alike, that lie alike."""
        parts = self.problem.laid.parts
        one = parts[index]
        same = [held for held in parts if _body(held.part) == _body(one.part)]
        return [held.index for held in same if np.allclose(held.frame[:3, :3], one.frame[:3, :3], atol=1e-6)]


def _body(part: Part) -> tuple[object, ...]:
    return part.section, part.length, part.cuts
