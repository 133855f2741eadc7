"""Which faces hardware must reach over or beyond other parts to meet, so that it is worth putting it on an arm."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from inventory.shapes import Array
from solver.geometry.faces import Face
from solver.geometry.hulls import Flags, Hulls
from solver.geometry.plan_view import within_plan
from solver.geometry.proximity import box_pairs, near
from solver.geometry.tolerances import LEVEL, PARALLEL, RUNS_INTO
from solver.hardware.stacks import Stack
from solver.laying.laid_weldment import LaidWeldment

ARM_WORTH = 60.0
"""A part within this distance in front of a face (mm) is worth reaching over with an arm."""
SHARES = (0.0, 0.5, 0.95)
"""Where a level face is tried: its middle, and so far from there to its corners and the middles of its edges."""


def obstructed_faces(laid: LaidWeldment) -> frozenset[tuple[int, str]]:
    """Return the upright faces (part, label) that another part lies in front of, where a stop would have to be."""
    upright = [face for part in laid.parts for face in part.faces if abs(float(face.normal[2])) <= LEVEL]
    rooms = []
    for face in upright:
        front = np.concatenate([face.corners() + 1.0 * face.normal, face.corners() + ARM_WORTH * face.normal])
        rooms.append(np.concatenate([front, front * [1.0, 1.0, 0.0]]))
    room, parts = Hulls.of(rooms, [face.part for face in upright]), laid.hulls
    i, j = box_pairs(room.boxes, parts.boxes, RUNS_INTO)
    others = room.owner[i] != parts.owner[j]
    i, j = i[others], j[others]
    return frozenset((upright[k].part, upright[k].label) for k in i[near(room, i, parts, j, RUNS_INTO)].tolist())


def out_of_reach(face: Face, stacks: Sequence[Stack], laid: LaidWeldment) -> bool:
    """Return whether a piece that meets a level face from above or below, at any of its turns, would be where parts lie."""
    pads = [(stack, pad) for stack in stacks for pad in stack.pads if float(pad.normal @ face.normal) < PARALLEL - 1]
    if not pads or abs(float(face.normal[2])) < 1 - PARALLEL:
        return False
    corners = face.corners()
    middle = corners.mean(axis=0)
    outer = np.concatenate([corners, (corners + np.roll(corners, -1, axis=0)) / 2])
    spots = np.concatenate([middle + share * (outer - middle) for share in SHARES])
    return all(bool(_under_parts(stack, spots - pad.at, laid).all()) for stack, pad in pads)


def _under_parts(stack: Stack, holes: Array, laid: LaidWeldment) -> Flags:
    """Return from which holes (n, 2+) a stack's body would run into a part."""
    points = stack.still.points
    low, high = points.min(axis=0), points.max(axis=0)
    around = max(0.0, min(*-low[:2], *high[:2])) + laid.rules["clear.body"]
    blocked = np.zeros(len(holes), dtype=bool)
    for part in laid.all_parts:
        if part.extent(np.array([0.0, 0.0, 1.0]))[0] < high[2]:
            blocked |= within_plan(part.hulls, holes, -around)
    return blocked
