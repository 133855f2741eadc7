"""Cut ends: the half spaces taken off a prism, and what of its plan they leave.

Whatever planes cut a prism, above each point (u, v) of its outline one stretch of w is left: from the highest of the bounds
below to the lowest of the bounds above, all of them linear in u and v. So what is left is told in the outline's plane alone.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from inventory import limits
from inventory.errors import Fault, refuse
from inventory.outlines import Point3, Ring

Line = tuple[float, float, float]
"""(a, b, c): the function a u + b v + c; of a half plane it is at most 0 inside."""
ALONG = 1e-6
"""A cut whose normal has less than this along w runs along the prism."""
NOTHING = 1e-3
"""A plan area this small (mm2) is nothing."""


@dataclass(frozen=True, slots=True)
class PlaneCut:
    """A plane in a prism's own frame: `point` on it, `normal` (kept as a unit vector) to the side that is taken away."""

    point: Point3
    normal: Point3

    def __post_init__(self) -> None:
        refuse([*limits.point_faults("/point", self.point, 3), *limits.direction_faults("/normal", self.normal, 3)])
        object.__setattr__(self, "normal", limits.unit(self.normal))

    @property
    def offset(self) -> float:
        """What lies farther than this along the normal is taken away, mm from the origin."""
        return math.fsum(n * p for n, p in zip(self.normal, self.point, strict=True))


@dataclass(frozen=True)
class Bounds:
    """What bounds the w of a cut prism, as functions of u and v: `below`, `above`, each once; `walls` are cuts along it."""

    below: tuple[Line, ...]
    above: tuple[Line, ...]
    walls: tuple[Line, ...]

    @staticmethod
    def of(start: float, end: float, cuts: Sequence[PlaneCut]) -> Bounds:
        """Return the bounds of a prism from `start` to `end` (mm) with some cuts."""
        below, above, walls = [(0.0, 0.0, start)], [(0.0, 0.0, end)], []
        for cut in cuts:
            u, v, w = cut.normal
            if abs(w) < ALONG:
                walls.append((u, v, -cut.offset))
            else:
                (above if w > 0 else below).append((-u / w, -v / w, cut.offset / w))
        return Bounds(tuple(dict.fromkeys(below)), tuple(dict.fromkeys(above)), tuple(walls))

    def half_planes(self) -> list[Line]:
        """Return the half planes of the outline above which anything is left."""
        between = [_less(low, high) for low in self.below for high in self.above]
        return [*self.walls, *((a, b, c + limits.SPACING) for a, b, c in between)]

    def cells(self) -> Iterator[tuple[Line, Line, list[Line]]]:
        """Yield each pair of bounds (below, above) with the half planes in which these two are the ones that count."""
        for low in self.below:
            for high in self.above:
                counts = [_less(other, low) for other in self.below if other != low]
                counts += [_less(high, other) for other in self.above if other != high]
                yield low, high, [*self.walls, *counts, _less(low, high)]


def _less(one: Line, other: Line) -> Line:
    return one[0] - other[0], one[1] - other[1], one[2] - other[2]


def clipped(ring: NDArray[np.float64], half_planes: Sequence[Line]) -> NDArray[np.float64]:
    """Return what of a ring (n, 2) lies in all half planes, areas exact; empty if nothing (Sutherland and Hodgman)."""
    for a, b, c in half_planes:
        if not len(ring):
            break
        depth = ring @ np.array([a, b]) + c
        inside = depth <= 0.0
        if inside.all():
            continue
        following, next_depth = np.roll(ring, -1, axis=0), np.roll(depth, -1)
        crosses = inside != np.roll(inside, -1)
        share = depth / np.where(crosses, depth - next_depth, 1.0)
        crossing = ring + share[:, None] * (following - ring)
        both = np.stack([ring, crossing], axis=1).reshape(-1, 2)
        ring = both[np.stack([inside, crosses], axis=1).reshape(-1)]
    return ring


def area(ring: NDArray[np.float64]) -> float:
    """Return the area within a ring (n, 2), mm2."""
    x, y = ring.T
    return abs(float(0.5 * (x @ np.roll(y, -1) - y @ np.roll(x, -1)))) if len(ring) else 0.0


def cut_faults(
    pointer: str, outline: Ring, cutouts: Sequence[Ring], ends: tuple[float, float], cuts: Sequence[PlaneCut]
) -> Iterator[Fault]:
    """Yield a fault if there are too many cuts on a sound prism from `ends`, or if they leave nothing of it."""
    if len(cuts) > limits.CUTS:
        yield Fault(pointer, f"{len(cuts)} cuts", f"at most {limits.CUTS} cuts")
    elif cuts:
        planes = Bounds.of(*ends, cuts).half_planes()
        left, *holes = (area(clipped(np.array(ring, dtype=float), planes)) for ring in (outline, *cutouts))
        if left - sum(holes) < NOTHING:
            yield Fault(
                pointer, "the cuts leave nothing", "cuts whose normals point to what is taken away, so that something is left"
            )


def lowest(outline: Ring, ends: tuple[float, float], cuts: Sequence[PlaneCut], rise: Point3) -> float:
    """Return the least of `rise` @ (u, v, w) over a prism from `ends`, its cut-outs filled."""
    found = math.inf
    for low, high, planes in Bounds.of(*ends, cuts).cells():
        ring = clipped(np.array(outline, dtype=float), planes)
        for bound in (low, high) if len(ring) else ():
            w = ring @ np.array(bound[:2]) + bound[2]
            found = min(found, float((ring @ np.array(rise[:2]) + rise[2] * w).min()))
    return found
