"""How far parts reach, and which of them may touch."""

from __future__ import annotations

from functools import lru_cache

import numpy as np

from inventory.shapes import Array
from solver.weldment import Part

NEAR = 0.2
"""Parts whose boxes come no nearer than this do not touch, mm."""


def corners(part: Part) -> Array:
    """Return the corners of a part's uncut body, (n, 3), mm, weldment frame."""
    outline = np.array(part.section.outline, dtype=float)
    ends = [np.column_stack([outline, np.full(len(outline), w), np.ones(len(outline))]) for w in (0.0, part.length)]
    found: Array = (np.concatenate(ends) @ part.pose.frame().T)[:, :3]
    return found


@lru_cache(maxsize=4096)
def extents(part: Part) -> tuple[Array, Array]:
    """Return the least and the greatest x, y and z of a part, mm."""
    there = corners(part)
    return there.min(axis=0), there.max(axis=0)


def boxes_meet(a: Part, b: Part) -> bool:
    """Whether two parts may touch: their upright boxes do, just about."""
    (a_low, a_high), (b_low, b_high) = extents(a), extents(b)
    return bool((a_low <= b_high + NEAR).all() and (b_low <= a_high + NEAR).all())
