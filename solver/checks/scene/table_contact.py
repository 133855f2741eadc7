"""Where a part's underside lies on the slab: understood, never declared."""

from __future__ import annotations

import numpy as np

from inventory.shapes import Array
from solver.checks.arithmetic import plane
from solver.checks.scene.scene import UP, Scene, SetPart
from solver.checks.tolerances import TOUCH


def table_patch(scene: Scene, part: SetPart) -> Array:
    """Return the corners (k, 3) of the part's contact with the table: convex, counter-clockwise; empty if there is none.

    A round part that lies down touches along a line of two corners.
    """
    if part.block.bounds[0, 2] > TOUCH + part.round_allowance:
        return np.zeros((0, 3))
    axis = part.pose[:3, 2]
    level = abs(axis @ UP) < 1e-6
    if part.part.section.round and level:
        flat = _line(part)
    else:
        rings = _undersides(part)
        pieces = [cut for ring in rings if len(cut := plane.clip(ring, scene.slab_outline))]
        flat = plane.hull(np.concatenate(pieces)) if pieces else np.zeros((0, 2))
        return np.column_stack([flat, np.zeros(len(flat))])
    flat = _clip_line(flat, np.array(scene.table.size)) if len(flat) else flat
    return np.column_stack([flat, np.zeros(len(flat))])


def _undersides(part: SetPart) -> list[Array]:
    """Return the plan outlines of all faces at z = 0."""
    block = part.block
    if block.planes:
        corners = [facet.edges[:, 0] @ block.pose[:3, :3].T + block.pose[:3, 3] for facet in block.shell]
        return [plane.hull(ring[:, :2]) for ring in corners if np.abs(ring[:, 2]).max() < TOUCH]
    rings = []
    half = len(block.corners) // 2
    outer = len(block.rings[0])
    low, high = block.corners[:outer], block.corners[half : half + outer]
    for cap in (low, high):
        if np.abs(cap[:, 2]).max() < TOUCH:
            rings.append(cap[:, :2])
    for k in range(outer):
        j = (k + 1) % outer
        side = np.array([low[k], low[j], high[j], high[k]])
        if np.abs(side[:, 2]).max() < TOUCH:
            rings.append(side[:, :2])
    return rings


def _line(part: SetPart) -> Array:
    radius = (part.part.section.diameter or 0.0) / 2
    if abs(part.pose[2, 3] - radius) > TOUCH + part.round_allowance:
        return np.zeros((0, 2))
    start, axis = part.pose[:3, 3] - radius * UP, part.pose[:3, 2]
    low, high = 0.0, part.part.length
    for normal, offset in part.block.planes:
        turned = part.pose[:3, :3] @ normal
        slope, room = float(turned @ axis), offset - float(turned @ (start - part.pose[:3, 3]))
        low = max(low, room / slope) if slope < 0 else low
        high = min(high, room / slope) if slope > 0 else high
        high = high if slope or room >= 0 else low
    ends = start + np.array([[low], [high]]) * axis
    return ends[:, :2] if low < high else np.zeros((0, 2))


def _clip_line(line: Array, size: Array) -> Array:
    start, step = line[0], line[1] - line[0]
    t0, t1 = 0.0, 1.0
    for axis in range(2):
        if abs(step[axis]) < 1e-9:
            if not 0 <= start[axis] <= size[axis]:
                return np.zeros((0, 2))
            continue
        a, b = sorted((-start[axis] / step[axis], (size[axis] - start[axis]) / step[axis]))
        t0, t1 = max(t0, a), min(t1, b)
    return np.array([start + t0 * step, start + t1 * step]) if t0 < t1 else np.zeros((0, 2))
