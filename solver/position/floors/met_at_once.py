"""How many needs a piece can meet at once where one of its pads meets a given face: what its price is shared over, at least.

Two pads of a piece, or one pad and two faces of one plane, meet at once only from one hole: from the holes that serve the one
and those that serve the other. A flank that carries and locates meets two needs a face.
"""

from __future__ import annotations

import numpy as np

from inventory.shapes import Array
from solver.geometry.tolerances import CARRIES, ONE_PLANE, SLOPING
from solver.hardware.free_windows import from_one_hole
from solver.hardware.reachable_holes import ReachableHoles


def met_at_once(reach: ReachableHoles) -> Array:
    """Return for each match the most needs its stack can meet from a hole from which it meets the match's face, (m,)."""
    if not len(reach.matches):
        return np.ones(0)
    pad = np.array([match.pad_index for match in reach.matches], dtype=np.intp)
    height = np.array([float(match.pad.normal @ match.face.origin) for match in reach.matches])
    normal = np.array([match.pad.normal for match in reach.matches])
    flank = (normal[:, 2] > CARRIES) & (normal[:, 2] < 1 - SLOPING**2 / 2)
    one, other = from_one_hole(reach.stack, reach.box)
    same = pad[one] == pad[other]
    kept = ~same | (np.abs(height[one] - height[other]) <= ONE_PLANE)
    return np.bincount(one[kept], weights=np.where(flank, 2.0, 1.0)[other[kept]], minlength=len(pad)).astype(float)
