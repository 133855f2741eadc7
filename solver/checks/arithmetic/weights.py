"""Mass, centre of gravity and inertia of a part, from its outline (round sections in closed form)."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from inventory.shapes import Array
from solver.checks.arithmetic import plane
from solver.checks.arithmetic.shells import moments, shell
from solver.checks.arithmetic.vectors import following
from solver.rule_book.book import RuleBook
from solver.weldment import Part

CIRCLE_STEPS = 360


@dataclass(frozen=True)
class Inertia:
    """Mass (kg), centre of gravity (mm, table frame) and inertia about it (kg mm2, table axes)."""

    mass: float
    centre: Array
    tensor: Array

    @property
    def rho(self) -> float:
        """Radius that scales rotations: sqrt(trace(I) / 2m), mm."""
        return math.sqrt(float(np.trace(self.tensor)) / (2 * self.mass))


def inertia(part: Part, pose: Array, rules: RuleBook) -> Inertia:
    """Return a part's inertia where `pose` (4x4) puts it."""
    if part.cuts:
        return _left(part, pose, rules)
    area, centroid, second = _section_moments(part)
    length = part.length
    mass = rules[f"material.{part.material}_kg_per_m3"] * 1e-9 * area * length
    local = np.zeros((3, 3))
    local[:2, :2] = np.trace(second) * np.eye(2) - second
    local[2, 2] = np.trace(second)
    local *= mass / area
    local[0, 0] += mass * length**2 / 12
    local[1, 1] += mass * length**2 / 12
    centre = pose[:3, :3] @ np.array([*centroid, length / 2]) + pose[:3, 3]
    turn = pose[:3, :3]
    return Inertia(mass, centre, turn @ local @ turn.T)


def _left(part: Part, pose: Array, rules: RuleBook) -> Inertia:
    """Return the inertia of what a part's cuts leave of it; circles as polygons of their area."""
    section = part.section
    rings = [np.array(ring) for ring in (section.outline, *section.cutouts)]
    if section.round:
        outer = section.diameter or 0.0
        rings = [_circle(size) for size in (outer, outer - 2 * section.wall if section.wall else 0.0) if size > 0]
    planes = [(np.array(cut.normal), float(np.dot(cut.normal, cut.point))) for cut in part.cuts]
    volume, first, second = moments(shell(rings, 0.0, part.length, planes))
    centre = first / volume
    mass = rules[f"material.{part.material}_kg_per_m3"] * 1e-9 * volume
    spread = mass * (second / volume - np.outer(centre, centre))
    turn = pose[:3, :3]
    tensor = turn @ (np.trace(spread) * np.eye(3) - spread) @ turn.T
    return Inertia(mass, turn @ centre + pose[:3, 3], tensor)


def _circle(diameter: float) -> Array:
    """Return a regular polygon of the area of a circle."""
    step = 2 * math.pi / CIRCLE_STEPS
    radius = diameter / 2 * math.sqrt(step / math.sin(step))
    angles = step * np.arange(CIRCLE_STEPS)
    return radius * np.column_stack([np.cos(angles), np.sin(angles)])


def _section_moments(part: Part) -> tuple[float, Array, Array]:
    """Return area (mm2), centroid and the second moments about it, ((uu, uv), (uv, vv)) in mm4."""
    section = part.section
    if section.round:
        outer = section.diameter or 0.0
        inner = outer - 2 * section.wall if section.wall else 0.0
        area = math.pi / 4 * (outer**2 - inner**2)
        return area, np.zeros(2), math.pi / 64 * (outer**4 - inner**4) * np.eye(2)
    total, first, second = 0.0, np.zeros(2), np.zeros((2, 2))
    for k, ring in enumerate((section.outline, *section.cutouts)):
        a, c, s = _ring_moments(np.array(ring))
        sign = 1.0 if k == 0 else -1.0
        total, first, second = total + sign * a, first + sign * c, second + sign * s
    centroid = first / total
    return total, centroid, second - total * np.outer(centroid, centroid)


def _ring_moments(ring: Array) -> tuple[float, Array, Array]:
    """Return the area and the first and second moments about the origin of a ring's inside (triangles from the origin)."""
    p, q = ring, following(ring)
    sense = 1.0 if plane.area(ring) > 0 else -1.0
    part = sense * 0.5 * (p[:, 0] * q[:, 1] - p[:, 1] * q[:, 0])
    first = (part[:, None] * (p + q)).sum(0) / 3
    mixed = np.einsum("i,ij,ik->jk", part, p, q)
    second = (np.einsum("i,ij,ik->jk", part, p, p) + np.einsum("i,ij,ik->jk", part, q, q) + (mixed + mixed.T) / 2) / 6
    return float(part.sum()), first, second
