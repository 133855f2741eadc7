"""What parts offer each other in a random weldment: flat seats to weld onto, corners to brace, and profiles that lie with them."""

from __future__ import annotations

import math
from dataclasses import dataclass, field
from random import Random
from typing import Literal

from inventory.shapes import Point2, Point3
from solver.sections import Section
from solver.weldment import Part, Pose
from tests.builders import Z

Facing = Literal["top", "side", "end"]
SIDES = 48


def step(at: Point3, *moves: tuple[float, Point3]) -> Point3:
    """Return a point moved by so many mm along some directions."""
    x, y, z = at
    for far, way in moves:
        x, y, z = x + far * way[0], y + far * way[1], z + far * way[2]
    return (round(x, 6) + 0.0, round(y, 6) + 0.0, round(z, 6) + 0.0)


def cross(one: Point3, two: Point3) -> Point3:
    """Return the direction square to two that are square to each other."""
    a, b, c = one
    d, e, f = two
    return (b * f - c * e, c * d - a * f, a * e - b * d)


def minus(way: Point3) -> Point3:
    """Return the opposite direction."""
    return (-way[0] + 0.0, -way[1] + 0.0, -way[2] + 0.0)


@dataclass(frozen=True)
class Seat:
    """A flat rectangle of a part: from `corner`, `length` along `along` and `width` along `across`; others join it.

    A side or end is seen from outside: `along` level, `across` upward. `depth` counts the parts it stands on.
    """

    part: str
    facing: Facing
    corner: Point3
    along: Point3
    across: Point3
    normal: Point3
    length: float
    width: float
    depth: int = 1

    def at(self, along: float, across: float, off: float = 0.0) -> Point3:
        """Return the point so far along, across and off the seat."""
        return step(self.corner, (along, self.along), (across, self.across), (off, self.normal))


@dataclass(frozen=True)
class Corner:
    """Where two parts meet at a right angle: `at` its inside, from there each runs `reach` one way and is so `wide` and high.

    `one` runs along `way`, `other` along `rise`; `level` for parts that lie on the table, else `rise` is upward.
    """

    one: str
    other: str
    at: Point3
    way: Point3
    rise: Point3
    reach: tuple[float, float]
    wide: float
    high: float
    level: bool
    depth: int = 1


@dataclass
class Offers:
    """The seats and corners that a growing weldment has to offer."""

    seats: list[Seat] = field(default_factory=list)
    corners: list[Corner] = field(default_factory=list)


def circle(x: float, y: float, diameter: float) -> tuple[Point2, ...]:
    """A polygon inside a circle."""
    turns = [(k + 0.5) * 2 * math.pi / SIDES for k in range(SIDES)]
    return tuple((x + diameter / 2 * math.cos(turn), y + diameter / 2 * math.sin(turn)) for turn in turns)


def slot(x: float, y: float, length: float, width: float) -> tuple[Point2, ...]:
    """A slot with square ends."""
    return tuple((x + a * length / 2, y + b * width / 2) for a, b in ((-1, -1), (1, -1), (1, 1), (-1, 1)))


@dataclass(frozen=True)
class Profile:
    """A section that can lie on the table: height and width as it lies, how much of either the rounded corners take.

    `left`, `right` and `top` say which of its flanks are flat to the height or width; `back` puts its origin on the right flank.
    """

    section: Section
    width: float
    height: float
    corner: float = 0.0
    back: bool = False
    left: bool = True
    right: bool = True
    top: bool = True
    foot: float | None = None


def a_profile(draw: Random, kinds: str = "square rect bar channel angle round") -> Profile:
    """Return one profile of the kinds named."""
    kind = draw.choice(kinds.split())
    wall = draw.choice((3, 4))
    radius = draw.choice((None, 0.0))
    corner = 2.0 * wall if radius is None else 0.0
    if kind == "square":
        size = draw.choice((40, 60))
        return Profile(Section("square_tube", width=size, wall=wall, corner_radius=radius), size, size, corner)
    if kind == "rect":
        width, height = draw.choice(((60, 40), (40, 60), (80, 40)))
        return Profile(Section("rect_tube", width=width, height=height, wall=wall, corner_radius=radius), width, height, corner)
    if kind == "bar":
        width, height = draw.choice((40, 50, 60, 80)), draw.choice((8, 10, 12))
        return Profile(Section("flat_bar", width=width, thickness=height), width, height)
    if kind == "channel":
        height, flange = 60, draw.choice((40, 45))
        section = Section("channel", height=height, flange=flange, web=5, flange_thickness=6)
        return Profile(section, flange, height, back=True, left=False)
    if kind == "angle":
        leg, thickness = draw.choice((40, 60)), draw.choice((5, 6))
        section = Section("angle", leg_a=leg, leg_b=leg, thickness=thickness)
        return Profile(section, leg, leg, back=True, left=False, top=False, foot=0.0)
    diameter = draw.choice((33.7, 48.3, 60.3))
    section = draw.choice((Section("round_tube", diameter=diameter, wall=3), Section("round_bar", diameter=diameter)))
    return Profile(section, diameter, diameter, left=False, right=False, top=False)


def laid(id: str, profile: Profile, start: Point3, way: Point3, length: float, depth: int = 1) -> tuple[Part, list[Seat]]:
    """Return a profile lying from `start` (its lowest line's middle) along a level way, and its seats."""
    left = cross(Z, way)
    right = minus(left)
    at = step(start, (profile.height / 2 if profile.foot is None else profile.foot, Z))
    if profile.back:
        at = step(at, (profile.width / 2, right))
    part = Part(id, profile.section, length, Pose(at, way, Z))
    half, c = profile.width / 2, profile.corner
    seats = []
    if profile.top:
        corner = step(start, (half - c, right), (profile.height, Z))
        seats.append(Seat(id, "top", corner, way, left, Z, length, profile.width - 2 * c, depth))
    tall = profile.height - 2 * c
    if profile.left:
        corner = step(start, (half, left), (c, Z), (length, way))
        seats.append(Seat(id, "side", corner, minus(way), Z, left, length, tall, depth))
    if profile.right:
        seats.append(Seat(id, "side", step(start, (half, right), (c, Z)), way, Z, right, length, tall, depth))
    return part, seats
