"""Closed outlines of straight and round sides in a plane: run with the solid on the left, counter-clockwise outside."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from inventory.shapes import Point2
from solver.recognition.tolerances import FULL_TURN


@dataclass(frozen=True, slots=True)
class StraightSide:
    """A side from `a` to `b`."""

    a: Point2
    b: Point2

    @property
    def length(self) -> float:
        """Its length, mm."""
        return math.dist(self.a, self.b)

    @property
    def direction(self) -> Point2:
        """From `a` to `b`, unit."""
        return (self.b[0] - self.a[0]) / self.length, (self.b[1] - self.a[1]) / self.length

    @property
    def bow(self) -> float:
        """The area between it and the straight line between its ends, mm2."""
        return 0.0


@dataclass(frozen=True, slots=True)
class RoundSide:
    """An arc: from the angle `first`, rad, by `sweep`; counter-clockwise (positive) where the solid is inside the circle."""

    centre: Point2
    radius: float
    first: float
    sweep: float

    def at(self, angle: float) -> Point2:
        """Return the point of its circle at an angle."""
        return self.centre[0] + self.radius * math.cos(angle), self.centre[1] + self.radius * math.sin(angle)

    @property
    def a(self) -> Point2:
        """Where it starts."""
        return self.at(self.first)

    @property
    def b(self) -> Point2:
        """Where it ends."""
        return self.at(self.first + self.sweep)

    @property
    def convex(self) -> bool:
        """Whether the solid lies inside its circle."""
        return self.sweep > 0

    @property
    def whole(self) -> bool:
        """Whether it goes all round."""
        return abs(self.sweep) >= FULL_TURN

    @property
    def length(self) -> float:
        """Its length, mm."""
        return self.radius * abs(self.sweep)

    @property
    def bow(self) -> float:
        """The area between it and the straight line between its ends, mm2, positive outside the solid's polygon."""
        return 0.5 * self.radius**2 * (self.sweep - math.sin(self.sweep))

    def passes(self, angle: float) -> bool:
        """Whether it passes the point of its circle at an angle, rad."""
        turned = (angle - self.first) % (2 * math.pi)
        return turned <= self.sweep if self.convex else (2 * math.pi - turned) % (2 * math.pi) <= -self.sweep


Side = StraightSide | RoundSide
Sides = tuple[Side, ...]


def enclosed(sides: Sequence[Side]) -> float:
    """Return the area that closed sides enclose, mm2: positive counter-clockwise."""
    return sum(0.5 * (side.a[0] * side.b[1] - side.b[0] * side.a[1]) + side.bow for side in sides)


def farthest(sides: Sequence[Side], u: float, v: float) -> list[Point2]:
    """Return the points that may lie farthest along a direction: ends of sides, and where arcs touch a line square to it."""
    found = [side.a for side in sides]
    angle = math.atan2(v, u)
    for side in sides:
        if isinstance(side, RoundSide):
            found += [side.at(turn) for turn in (angle, angle + math.pi) if side.passes(turn)]
    return found
