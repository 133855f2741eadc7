"""What must be held: parts, welds, tolerances, open dimensions. Lengths mm, weldment frame."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

import numpy as np

from inventory.shapes import Array, Point3
from solver.sections import Section

Material = Literal["steel", "stainless", "aluminium"]
WeldKind = Literal["fillet", "butt", "corner", "lap", "flare"]
InFixture = Literal["full", "tack", "none"]


@dataclass(frozen=True, slots=True)
class Pose:
    """Where a part sits: the section's origin at `at`, w runs `along`, v points `up` (both unit, square), u = v x w."""

    at: Point3
    along: Point3
    up: Point3

    def frame(self) -> Array:
        """Return the 4x4 frame with columns u, v, w, origin."""
        w, v = np.array(self.along), np.array(self.up)
        frame = np.eye(4)
        frame[:3, 0], frame[:3, 1], frame[:3, 2], frame[:3, 3] = np.cross(v, w), v, w, self.at
        return frame


@dataclass(frozen=True, slots=True)
class Part:
    """One part: a section extruded from w = 0 to `length` (a plate's thickness) at a pose."""

    id: str
    section: Section
    length: float
    pose: Pose
    material: Material = "steel"
    name: str = ""


@dataclass(frozen=True, slots=True)
class Weld:
    """One bead between two parts along a polyline; `leg` or `throat` in mm, the other is None."""

    id: str
    parts: tuple[str, str]
    path: tuple[Point3, ...]
    kind: WeldKind
    leg: float | None = None
    throat: float | None = None
    in_fixture: InFixture = "full"
    process: str = ""
    side: Point3 | None = None

    @property
    def closed(self) -> bool:
        """Whether the path ends where it starts."""
        return len(self.path) > 2 and self.path[0] == self.path[-1]


@dataclass(frozen=True, slots=True)
class Tolerance:
    """How far locating alone may move `point` of a part along `direction` (unit), absolutely or relative to a part."""

    part: str
    point: Point3
    direction: Point3
    plus_minus: float
    relative_to: str | None = None


@dataclass(frozen=True, slots=True)
class OpenDimension:
    """A dimension not known yet: hardware contacts along `direction` must follow the range about nominal, mm."""

    part: str
    direction: Point3
    low: float
    high: float


@dataclass(frozen=True, slots=True)
class Weldment:
    """Parts joined by welds."""

    parts: tuple[Part, ...]
    welds: tuple[Weld, ...] = ()
    name: str = ""
    tolerances: tuple[Tolerance, ...] = ()
    open_dimensions: tuple[OpenDimension, ...] = ()

    def part(self, id: str) -> Part:
        """Return the part of that id; raises KeyError."""
        for part in self.parts:
            if part.id == id:
                return part
        raise KeyError(id)
