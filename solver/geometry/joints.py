"""Weld joints: samples along a bead, the open wedge between its parts, legal torch directions, toes."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from inventory.shapes import Array, Prism
from solver.geometry.points import inside
from solver.rule_book.book import RuleBook
from solver.weldment import Weld

OPEN_DEG = 30.0
"""A wedge is open if it is wider than this."""
ANGLES = 720
INSIDE_LIMIT = 0.9995
"""Angles stay this share within their limit, so that no reader's rounding refuses them."""


@dataclass(frozen=True)
class Wedge:
    """An arc of air between two parts around a bead: its bisector (unit), opening (rad), and the part on its near side.

    Turning about the bead's tangent from the near side's surface through the bisector leads to the other part.
    """

    bisector: Array
    opening: float
    near_part: int


@dataclass(frozen=True)
class Sample:
    """One place on a bead where the torch must reach: weld index, point, tangent (unit) and the open wedge there."""

    weld: int
    at: Array
    tangent: Array
    wedge: Wedge

    def moved(self, rotation: Array, shift: Array) -> Sample:
        """Return the sample turned by a rotation (3, 3) and shifted (3,)."""
        wedge = Wedge(rotation @ self.wedge.bisector, self.wedge.opening, self.wedge.near_part)
        return Sample(self.weld, rotation @ self.at + shift, rotation @ self.tangent, wedge)


def spans(weld: Weld, rules: RuleBook) -> list[tuple[float, float]]:
    """Return the arc-length spans of a bead that must be reachable in the fixture, mm."""
    total = length_of(weld)
    if weld.in_fixture == "none":
        return []
    if weld.in_fixture == "full" or total <= 2 * rules["tack.length"]:
        return [(0.0, total)]
    tack = rules["tack.length"]
    steps = max(1, math.ceil((total - tack) / rules["tack.pitch"] - 1e-9))
    starts = [k * (total - tack) / steps for k in range(steps + 1)]
    return [(start, start + tack) for start in starts]


def length_of(weld: Weld) -> float:
    """Return a bead's length, mm."""
    return sum(math.dist(a, b) for a, b in pairwise(weld.path))


def point_at(path: Array, distance: float) -> Array:
    """Return the point `distance` along a polyline (k, 3)."""
    lengths = np.linalg.norm(np.diff(path, axis=0), axis=1)
    ends = np.cumsum(lengths)
    k = min(int(np.searchsorted(ends, distance - 1e-9)), len(lengths) - 1)
    point: Array = path[k] + (path[k + 1] - path[k]) * min(1.0, max(0.0, (distance - (ends[k] - lengths[k])) / lengths[k]))
    return point


@dataclass(frozen=True)
class SamplePlace:
    """Where a bead is sampled: the point, the tangent (unit) and the middle of its straight stretch."""

    at: Array
    tangent: Array
    middle: Array


def sample_places(weld: Weld, path: Array, rules: RuleBook) -> list[SamplePlace]:
    """Return where a weld's bead is sampled; a polyline's corner is sampled for both its legs."""
    found = []
    offset = 0.0
    for a, b in pairwise(path):
        length = float(np.linalg.norm(b - a))
        tangent = (b - a) / length
        for low, high in spans(weld, rules):
            start, stop = max(0.0, low - offset), min(length, high - offset)
            if stop < start or (stop - start < 1e-9 and length > 1e-9 and not (low >= offset and high <= offset + length)):
                continue
            steps = max(1, math.ceil((stop - start) / rules["torch.sample"] - 1e-9))
            for step in range(steps + 1):
                found.append(SamplePlace(a + (start + (stop - start) * step / steps) * tangent, tangent, (a + b) / 2))
        offset += length
    return found


def wedges(point: Array, tangent: Array, parts: tuple[Sequence[Prism], Sequence[Prism]], size: float) -> list[Wedge]:
    """Return the open wedges between two parts around a point of a bead.

    The parts are cut by the plane square to the bead; a wedge is an arc of air that borders one part on one side and the
    other part on the other. Judged on a circle of 1 mm, or larger (up to 1.5 `size`) where that meets only one part.
    """
    first = np.cross(tangent, [0.0, 0.0, 1.0])
    if np.linalg.norm(first) < 1e-6:
        first = np.cross(tangent, [1.0, 0.0, 0.0])
    first /= np.linalg.norm(first)
    second = np.cross(tangent, first)
    step = 2 * math.pi / ANGLES
    angles = (np.arange(ANGLES) + 0.5) * step
    rays = np.cos(angles)[:, None] * first + np.sin(angles)[:, None] * second
    for radius in (1.0, 1.6, max(2.2, size), 1.5 * max(2.2, size)):
        ring = point + radius * rays
        where = _inside(ring, parts[0]) + 2 * _inside(ring, parts[1])
        found = []
        for start, count, before in air_arcs(where):
            if count * step > math.radians(OPEN_DEG):
                middle = (start + count / 2) * step
                found.append(Wedge(math.cos(middle) * first + math.sin(middle) * second, count * step, before))
        if found:
            return found
    return []


def _inside(points: Array, prisms: Sequence[Prism]) -> NDArray[np.intp]:
    found = np.zeros(len(points), dtype=bool)
    for prism in prisms:
        found |= inside(prism, points)
    return found.astype(np.intp)


def air_arcs(where: NDArray[np.intp]) -> list[tuple[int, int, int]]:
    """Return (start, count, part before: 0 or 1) of the runs of air that border different parts on their two sides."""
    if not where.all() and where.any():
        first = int(np.flatnonzero(where)[0])
        turned = np.roll(where, -first)
        air = np.concatenate([[False], turned == 0, [False]]).astype(int)
        starts, stops = np.flatnonzero(np.diff(air) == 1), np.flatnonzero(np.diff(air) == -1)
        borders = [(int(a), int(b), int(turned[a - 1]), int(turned[b % len(turned)])) for a, b in zip(starts, stops, strict=True)]
        return [(a + first, b - a, 0 if before & 1 else 1) for a, b, before, after in borders if before | after == 3]
    return []


def open_side(found: list[Wedge], side: Array | None) -> Wedge | None:
    """Return the wedge the bead lies in: nearest to `side` if given, else the first by +z, then +y, then +x."""
    if not found:
        return None
    if side is not None:
        return max(found, key=lambda wedge: float(wedge.bisector @ side))
    return max(found, key=lambda wedge: tuple(round(float(wedge.bisector[axis]), 3) for axis in (2, 1, 0)))


def torch_directions(sample: Sample, rules: RuleBook) -> Array:
    """Return candidate torch directions (n, 3), unit, nozzle towards weld, the straight one first.

    Work angles are measured in the plane square to the bead from the wedge's bisector, travel angles along the bead.
    """
    work = math.tan(math.radians(rules["torch.work_tolerance"]) * INSIDE_LIMIT)
    travel = math.tan(math.radians(rules["torch.travel_angle"]) * INSIDE_LIMIT)
    bisector, tangent = sample.wedge.bisector, sample.tangent
    across = np.cross(tangent, bisector)
    shares = (0.0, 0.5, -0.5, 1.0, -1.0)
    back = np.array([bisector + w * work * across + t * travel * tangent for t in shares for w in shares])
    back /= np.linalg.norm(back, axis=1)[:, None]
    _, kept = np.unique(np.round(back, 9), axis=0, return_index=True)
    return -back[np.sort(kept)]


def toes(sample: Sample, leg: float) -> tuple[Array, Array]:
    """Return the toes (3,) of a bead on its weld's first and second part: a leg from the root along either side of the wedge."""
    wedge = sample.wedge
    across = np.cross(sample.tangent, wedge.bisector)
    cosine, sine = math.cos(wedge.opening / 2), math.sin(wedge.opening / 2)
    near = sample.at + leg * (cosine * wedge.bisector - sine * across)
    far = sample.at + leg * (cosine * wedge.bisector + sine * across)
    return (near, far) if wedge.near_part == 0 else (far, near)


def samples_of(
    index: int, weld: Weld, parts: tuple[Sequence[Prism], Sequence[Prism]], rules: RuleBook
) -> tuple[list[Sample], list[Array]]:
    """Return a weld's samples (weldment frame) and the points (3,) where no wedge between its parts is open.

    The wedge is judged at the middle of each straight stretch: at its ends the parts may end, or round off, too.
    """
    size = weld.leg or (weld.throat or 0.0) * math.sqrt(2)
    side = None if weld.side is None else np.array(weld.side)
    samples, shut = [], []
    judged: dict[tuple[float, ...], Wedge | None] = {}
    for place in sample_places(weld, np.array(weld.path), rules):
        key = tuple(place.middle.tolist())
        if key not in judged:
            judged[key] = open_side(wedges(place.middle, place.tangent, parts, size), side)
        wedge = judged[key]
        if wedge is None:
            shut.append(place.at)
        else:
            samples.append(Sample(index, place.at, place.tangent, wedge))
    return samples, shut
