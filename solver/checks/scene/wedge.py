"""The open wedge between two parts along a weld: where its sides run, which one is meant, its bisector.

Judged on the two parts alone, in the weldment's frame as drawn, at the middle of each straight stretch of the path.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from inventory.shapes import Array, Prism
from solver.checks.arithmetic import blocks, vectors
from solver.checks.arithmetic.blocks import Block
from solver.checks.arithmetic.vectors import square_to
from solver.checks.scene.faces import Face, RoundFace, faces_of
from solver.checks.scene.scene import Scene
from solver.weldment import Part, Weld

OPEN_DEG = 30.0
RADII = (0.5, 0.25, 1.0, 2.0, 4.0, 8.0)
ANGLES = 240
SNAP = math.cos(math.radians(20))


@dataclass(frozen=True)
class Wedge:
    """One gap between the two parts, seen along the weld: unit rays along either part's face, bisector, opening (degrees)."""

    rays: Mapping[str, Array]
    bisector: Array
    opening: float

    def turned(self, turn: Array) -> Wedge:
        """Return the wedge under a rotation (3x3)."""
        return Wedge({id: turn @ ray for id, ray in self.rays.items()}, turn @ self.bisector, self.opening)


@dataclass(frozen=True)
class _Drawn:
    """A part as drawn."""

    id: str
    block: Block
    faces: tuple[Face | RoundFace, ...]


@dataclass(frozen=True)
class _Cross:
    """The plane across a weld: a small circle about its root."""

    root: Array
    radius: float
    first: Array
    second: Array

    def direction(self, angle: float) -> Array:
        found: Array = math.cos(angle) * self.first + math.sin(angle) * self.second
        return found


def open_wedge(scene: Scene, weld: Weld, segment: int) -> Wedge | None:
    """Return the open wedge the bead lies in along one segment of its path, in the table frame; None if no side is open."""
    found = drawn_wedge(weld, scene.parts[weld.parts[0]].part, scene.parts[weld.parts[1]].part, segment)
    return None if found is None else found.turned(scene.place[:3, :3])


@lru_cache(maxsize=1024)
def drawn_wedge(weld: Weld, a: Part, b: Part, segment: int) -> Wedge | None:
    """Return the open wedge as drawn.

    Open is wider than 30 degrees; of several, the one `side` points into, else the first by +z, then +y, then +x. A flare weld
    lies in its widest gap, however narrow.
    """
    start, end = np.array(weld.path[segment]), np.array(weld.path[segment + 1])
    gaps = _gaps(_drawn(a), _drawn(b), (start + end) / 2, (end - start) / np.linalg.norm(end - start))
    wide = [gap for gap in gaps if gap.opening > OPEN_DEG]
    if not wide and weld.kind == "flare":
        wide = sorted(gaps, key=lambda gap: -gap.opening)[:1]
    if not wide:
        return None
    if weld.side is not None:
        side = np.array(weld.side)
        return max(wide, key=lambda gap: float(gap.bisector @ side))
    return max(wide, key=lambda gap: tuple(round(float(value), 6) for value in gap.bisector[::-1]))


def _drawn(part: Part) -> _Drawn:
    pose = part.pose.frame()
    prism = Prism(part.section.outline, 0.0, part.length, part.section.cutouts, cuts=part.cuts)
    return _Drawn(part.id, Block.of(prism, pose), faces_of(part, tuple(map(tuple, pose.tolist()))))


def _gaps(a: _Drawn, b: _Drawn, root: Array, tangent: Array) -> list[Wedge]:
    """Return the gaps with one part on either side, on the first circle about the root that meets both."""
    first, second = square_to(tangent)
    angles = (np.arange(ANGLES) + 0.5) * 2 * math.pi / ANGLES
    for radius in RADII:
        cross = _Cross(root, radius, first, second)
        circle = root + radius * np.array([cross.direction(angle) for angle in angles])
        in_a, in_b = (blocks.point_distance(circle, part.block) <= 1e-9 for part in (a, b))
        if in_a.any() and in_b.any():
            owner = np.where(in_a, 1, 0) + np.where(in_b & ~in_a, 2, 0)
            return [_wedge((a, b), cross, angles, owner, run) for run in _runs(owner)]
    return []


def _runs(owner: Array) -> list[tuple[int, int]]:
    """Return the runs of free steps (first, last, cyclic) with one part on one side and the other on the other."""
    free = owner == 0
    starts = np.flatnonzero(free & ~np.roll(free, 1))
    ends = np.flatnonzero(free & ~np.roll(free, -1))
    runs = []
    for start in starts:
        end = int(ends[np.searchsorted(ends, start)]) if (ends >= start).any() else int(ends[0])
        if owner[start - 1] != owner[(end + 1) % len(owner)]:
            runs.append((int(start), end))
    return runs


def _wedge(parts: tuple[_Drawn, _Drawn], cross: _Cross, angles: Array, owner: Array, run: tuple[int, int]) -> Wedge:
    before, after = run[0] - 1, (run[1] + 1) % len(angles)
    rays, found = {}, []
    for inside, outside in ((before, run[0]), (after, run[1])):
        part = parts[int(owner[inside]) - 1]
        ray = _along_face(part, cross, _border(part.block, cross, angles[inside], angles[outside]))
        rays[part.id] = ray
        found.append(math.atan2(ray @ cross.second, ray @ cross.first))
    opening = (found[1] - found[0]) % (2 * math.pi)
    return Wedge(rays, cross.direction(found[0] + opening / 2), math.degrees(opening))


def _border(block: Block, cross: _Cross, inside: float, outside: float) -> Array:
    """Return the direction in which the circle leaves the part between two angles, by halving."""
    step = (outside - inside + math.pi) % (2 * math.pi) - math.pi
    low, high = 0.0, 1.0
    for _ in range(16):
        middle = (low + high) / 2
        point = cross.root + cross.radius * cross.direction(inside + middle * step)
        if float(blocks.point_distance(point[None], block)[0]) <= 1e-9:
            low = middle
        else:
            high = middle
    return cross.direction(inside + low * step)


def _along_face(part: _Drawn, cross: _Cross, ray: Array) -> Array:
    """Return the direction, across the weld, of the flat face the ray runs along; the ray itself if none is near.

    A path drawn a little off its root would otherwise tilt the wedge.
    """
    point = cross.root + cross.radius * ray
    tangent = vectors.cross(cross.first, cross.second)
    best, alignment = ray, SNAP
    for face in part.faces:
        if isinstance(face, RoundFace) or abs(float((point - face.origin) @ face.normal)) > 1e-3:
            continue
        along = vectors.cross(tangent, face.normal)
        size = float(np.linalg.norm(along))
        if size < 1e-6:
            continue
        along = along / size
        along = along if along @ ray > 0 else -along
        if float(along @ ray) > alignment:
            best, alignment = along, float(along @ ray)
    return best
