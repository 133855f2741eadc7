"""Corners of two lying parts of one section, mitred at any angle."""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np

from inventory.shapes import Array, PlaneCut, Point3
from solver.sections import Section
from solver.weldment import Part, Pose, Weld, Weldment
from tests import builders as b

TUBE = Section("square_tube", width=50, wall=3)


def mitred(id: str, section: Section, start: Array, end: Array, mitres: Sequence[tuple[Array, Array]], spare: float) -> Part:
    """Return a lying part from one point of its centre line to another, `spare` longer at both ends, cut by planes (point, normal)."""
    along = (end - start) / np.linalg.norm(end - start)
    pose = Pose(point(start - spare * along), point(along), b.Z)
    frame = pose.frame()
    cuts = tuple(PlaneCut(point((at - frame[:3, 3]) @ frame[:3, :3]), point(normal @ frame[:3, :3])) for at, normal in mitres)
    return Part(id, section, float(np.linalg.norm(end - start)) + 2 * spare, pose, cuts=cuts)


def corner(degrees: float, section: Section = TUBE, height: float = 50, length: float = 300) -> Weldment:
    """Return two parts that meet at a corner with this angle between them, each cut at half of it, their other ends square.

    The seam on top is one weld, the inside of the corner another.
    """
    joint = np.array([length, 0.0, height / 2])
    way = np.radians(180 - degrees)
    here, there = np.array([1.0, 0.0, 0.0]), np.array([math.cos(way), -math.sin(way), 0.0])
    normal = (here + there) / np.linalg.norm(here + there)
    square = [(joint - length * here, -here), (joint + length * there, there)]
    spare = height
    one = mitred("one", section, joint - length * here, joint, [(joint, normal), square[0]], spare)
    two = mitred("two", section, joint, joint + length * there, [(joint, -normal), square[1]], spare)
    seam = np.array([-normal[1], normal[0], 0.0]) * 0.3 * (section.width or section.diameter or 0.0)
    top = joint + np.array([0.0, 0.0, height / 2])
    welds = [Weld("top", ("one", "two"), (point(top - seam), point(top + seam)), "butt", throat=3.0)]
    return b.weldment(one, two, welds=welds if not section.round else [], name="corner")


def point(values: Array) -> Point3:
    """Return an array of three as plain numbers."""
    x, y, z = (float(value) for value in values)
    return x, y, z
