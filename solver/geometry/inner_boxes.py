"""Boxes along the axes within convex hulls: what they shut, the hulls shut too.

In words: a prism along an axis with rounded corners holds a box as high as itself between its corners, one as wide as itself, and
its bounds shrunk until they lie within. Of any other hull the middle is told, of a box the box.

Example:

```text
    .---.        : :         .---.         +-----+
   (     )      +---+       +-----+        | +-+ |
   (     )  ->  |   |  and  +-----+  and   | +-+ |
    '---'       +---+        '---'         +-----+
```
"""

from __future__ import annotations

import numpy as np

from inventory.shapes import Array
from solver.deadline import look
from solver.geometry.hulls import Flags, Hulls, Index
from solver.geometry.proximity import shrunk

SAME = 1e-6
"""Points this near to a side of their bounds lie on it, mm."""


def inner_boxes(hulls: Hulls) -> tuple[Array, Index]:
    """Return boxes (k, 2, 3) within hulls, and which hull each lies in (k,); at least one for every hull, mm."""
    look()
    boxes = [hulls.boxes[hulls.box_shaped]]
    of = [np.flatnonzero(hulls.box_shaped)]
    left = ~hulls.box_shaped
    for axis in range(3):
        look()
        rows = np.flatnonzero(left & hulls.straight[:, axis])
        left[rows] = False
        if len(rows):
            own = hulls.take(rows)
            found = [shrunk(own, axis), *(_full(own, axis, way) for way in range(3) if way != axis)]
            boxes += [box[there] for there, box in found]
            of += [rows[there] for there, _ in found]
            left[rows[~np.any([there for there, _ in found], axis=0)]] = True
    rest = np.flatnonzero(left)
    if len(rest):
        own = hulls.take(rest)
        middle = np.add.reduceat(own.points, own.first) / own.count[:, None]
        boxes.append(np.repeat(middle[:, None, :], 2, axis=1))
        of.append(rest)
    return np.concatenate(boxes), np.concatenate(of).astype(np.intp)


def _full(hulls: Hulls, axis: int, way: int) -> tuple[Flags, Array]:
    """Return of prisms along an axis which hold a box that reaches all through them another way as well, and those boxes."""
    across = 3 - axis - way
    low, high = np.full(len(hulls), -np.inf), np.full(len(hulls), np.inf)
    place = hulls.points[:, across]
    for side in range(2):
        there = np.abs(hulls.points[:, way] - np.repeat(hulls.boxes[:, side, way], hulls.count)) < SAME
        low = np.maximum(low, np.minimum.reduceat(np.where(there, place, np.inf), hulls.first))
        high = np.minimum(high, np.maximum.reduceat(np.where(there, place, -np.inf), hulls.first))
    boxes = hulls.boxes.copy()
    boxes[:, 0, across], boxes[:, 1, across] = low, high
    return high - low > SAME, boxes
