"""Which faces hardware must reach over or beyond other parts to meet, so that it is worth standing it on an arm."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from inventory.shapes import Array
from solver.candidates.assembly import Assembly
from solver.candidates.stands import Stand
from solver.geometry.faces import Face
from solver.geometry.hulls import Flags, Hulls, box_pairs, joined, near
from solver.geometry.plan_view import within_plan

LEVEL = 1e-6
HAIR = 0.02
ARM_WORTH = 60.0
"""A part within this distance in front of a face (mm) is worth reaching over with an arm."""
SHARES = (0.0, 0.5, 0.95)
"""Where a level face is tried: its middle, and so far from there to its corners and the middles of its edges."""


def obstructed(face: Face, assembly: Assembly) -> bool:
    """Return whether another part lies in front of an upright face, where a stop would have to stand."""
    if abs(float(face.normal[2])) > LEVEL:
        return False
    corners = face.corners()
    front = np.concatenate([corners + 1.0 * face.normal, corners + ARM_WORTH * face.normal])
    front = np.concatenate([front, front * [1.0, 1.0, 0.0]])
    room = Hulls.of([front], [0])
    others = joined([part.hulls for part in assembly.parts if part.index != face.part])
    i, j = box_pairs(room.boxes, others.boxes, HAIR)
    return bool(near(room, i, others, j, HAIR).any())


def out_of_reach(face: Face, stands: Sequence[Stand], assembly: Assembly) -> bool:
    """Return whether a piece that meets a level face from above or below, at any of its turns, would stand where parts lie."""
    pads = [(stand, pad) for stand in stands for pad in stand.pads if float(pad.normal @ face.normal) < LEVEL - 1]
    if not pads or abs(float(face.normal[2])) < 1 - LEVEL:
        return False
    corners = face.corners()
    middle = corners.mean(axis=0)
    outer = np.concatenate([corners, (corners + np.roll(corners, -1, axis=0)) / 2])
    spots = np.concatenate([middle + share * (outer - middle) for share in SHARES])
    return all(bool(_under_parts(stand, spots - pad.at, assembly).all()) for stand, pad in pads)


def _under_parts(stand: Stand, holes: Array, assembly: Assembly) -> Flags:
    """Return from which holes (n, 2+) a stand's body would run into a part."""
    points = stand.still.points
    low, high = points.min(axis=0), points.max(axis=0)
    around = max(0.0, min(*-low[:2], *high[:2])) + assembly.rules["clear.body"]
    blocked = np.zeros(len(holes), dtype=bool)
    for part in assembly.parts:
        if part.extent(np.array([0.0, 0.0, 1.0]))[0] < high[2]:
            blocked |= within_plan(part.hulls, holes, -around)
    return blocked
