"""How many needs a piece can meet at once where one of its pads meets a given face: what its price is shared over, at least.

Two pads of a piece, or one pad and two faces of one plane, meet at once only from one hole: from the holes that serve the one
and those that serve the other. A flank that carries and locates meets two needs a face.
"""

from __future__ import annotations

import numpy as np

from inventory.shapes import Array
from solver.geometry.hulls import Flags, Index
from solver.geometry.tolerances import CARRIES, SLOPING, TOUCH
from solver.hardware.reachable_holes import ReachableHoles

SAME_PLANE = 0.1
"""Faces of one direction are in one plane for a pad up to so far apart, mm."""


def met_at_once(reach: ReachableHoles) -> Array:
    """Return for each match the most needs its stack can meet from a hole from which it meets the match's face, (m,)."""
    if not len(reach.matches):
        return np.ones(0)
    pad = np.array([match.pad_index for match in reach.matches], dtype=np.intp)
    height = np.array([float(match.pad.normal @ match.face.origin) for match in reach.matches])
    normal = np.array([match.pad.normal for match in reach.matches])
    flank = (normal[:, 2] > CARRIES) & (normal[:, 2] < 1 - SLOPING**2 / 2)
    one, other = _from_one_hole(reach.stack, reach.box)
    same = pad[one] == pad[other]
    kept = ~same | (np.abs(height[one] - height[other]) <= SAME_PLANE)
    return np.bincount(one[kept], weights=np.where(flank, 2.0, 1.0)[other[kept]], minlength=len(pad)).astype(float)


def _from_one_hole(stack: Index, box: Array) -> tuple[Index, Index]:
    """Return pairs of matches (each with itself, too) of one stack whose holes may be one: their bounds (m, axes, ends) meet."""
    order = np.argsort(stack, kind="stable")
    start, stop = (np.searchsorted(stack[order], stack, side=side) for side in ("left", "right"))
    one = np.repeat(np.arange(len(stack)), stop - start)
    place = np.arange(len(one)) - np.repeat(np.cumsum(stop - start) - (stop - start), stop - start)
    other = order[np.repeat(start, stop - start) + place]
    low, high = box[:, :, 0], box[:, :, 1]
    near: Flags = ((low[one] <= high[other] + TOUCH) & (low[other] <= high[one] + TOUCH)).all(axis=1) | (one == other)
    return one[near], other[near]
