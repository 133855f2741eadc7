"""Candidates: a stack in a hole of the lattice under the weldment, at a setting, with every face its pads meet."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from inventory.shapes import Array
from solver.geometry.hulls import Hulls, joined
from solver.geometry.tips import NAME
from solver.geometry.tolerances import LEVEL, SLOPING
from solver.hardware.stacks import Stack


@dataclass(frozen=True)
class Lattice:
    """Hole centres in the lie frame: ``phase + pitch * (column, row)``, any whole column and row."""

    phase: tuple[float, float]
    pitch: float

    def at(self, holes: Array) -> Array:
        """Return the centres (n, 3) of holes (n, 2) on the table's top."""
        centres = np.zeros((len(holes), 3))
        centres[:, :2] = np.array(self.phase) + self.pitch * holes
        return centres


@dataclass(frozen=True)
class Meeting:
    """A pad against a face: part index, face label, locating point, normal into the part, patch (k, 3)."""

    part: int
    face: str
    at: Array
    normal: Array
    patch: Array

    @property
    def tip(self) -> bool:
        """Whether it is a part's tip that the pad meets: an end point, with a row of the locator matrix at either end."""
        return self.face.startswith(NAME)

    @property
    def points(self) -> Array:
        """The points (k, 3) at which it locates."""
        return self.patch if self.tip else self.at[None, :]

    @property
    def level(self) -> bool:
        """Whether the pad pushes straight sideways (its normal is level)."""
        return abs(float(self.normal[2])) < LEVEL

    @property
    def sideways(self) -> Array | None:
        """The level direction (unit) in which the pad locates, None if it hardly does: a V's flank locates down and sideways."""
        level = np.array([self.normal[0], self.normal[1], 0.0])
        length = float(np.linalg.norm(level))
        return level / length if length > SLOPING else None


@dataclass(frozen=True)
class Candidate:
    """A stack in a hole at a setting, with everything its pads meet."""

    stack: Stack
    hole: tuple[int, int]
    origin: Array
    setting: float | None
    meetings: tuple[Meeting, ...]

    @cached_property
    def parts(self) -> frozenset[int]:
        """The parts its pads meet."""
        return frozenset(meeting.part for meeting in self.meetings)

    @property
    def clamp(self) -> bool:
        """Whether it clamps; everything else locates."""
        return self.stack.top.clamp is not None

    @property
    def holes(self) -> list[tuple[int, int]]:
        """The holes its pegs take."""
        return [(self.hole[0] + x, self.hole[1] + y) for x, y in self.stack.pegs]

    @property
    def displacement(self) -> Array:
        """How far its moving solids stand from setting 0, (3,)."""
        if self.stack.travel is None or self.setting is None:
            return np.zeros(3)
        return self.stack.travel.displacement(self.setting)


def bodies(candidates: Sequence[Candidate]) -> Hulls:
    """Return a few candidates' solids, clamps shut, owner = position in the list."""
    parts = []
    for index, candidate in enumerate(candidates):
        parts.append(candidate.stack.still.shifted(candidate.origin).owned(index))
        parts.append(candidate.stack.moving.shifted(candidate.origin + candidate.displacement).owned(index))
    return joined(parts)
