"""How much of a pad must bear: a share of the lesser of pad and face, along both directions of the pad.

At the end of a thin-walled section the hull of its outline is the face, and what the pad covers of that counts: a pad over a
tube's end bears on its walls alone, and properly.

Example:

```text
   a stop 28 wide on a plate's edge, asked: half        on the end of a tube 50 wide
   +--------------------------+                         +-----------+
   |          face            |                         |  +-----+  |   pad 28 wide, 20 of it within the outline:
   +--------------------------+                         |  |     |  |   20 of 28, more than half
      [====|====]        [====|====]                    |  |   [=|==|===]
       28 of 28: bears    12 of 28: does not            +--+-----+--+
```
"""

from __future__ import annotations

import numpy as np
import shapely

from inventory.shapes import Array
from solver.geometry.faces import Face
from solver.geometry.hulls import Flags
from solver.geometry.tolerances import BEARING_SLACK

Axes = tuple[Array, Array]
"""A pad's width and height directions (unit, 3)."""


def asked(face: Face, axes: Axes, size: tuple[float, float], share: float) -> tuple[float, float]:
    """Return how wide and how high a pad of some size must bear on a face, mm; nothing on the line of a round part."""
    if share <= 0 or face.shape.geom_type == "LineString":
        return 0.0, 0.0
    wide, high = (share * min(pad, float(np.ptp(face.corners() @ axis))) for pad, axis in zip(size, axes, strict=True))
    return wide - BEARING_SLACK, high - BEARING_SLACK


def covering(face: Face, rings: Array, axes: Axes, size: tuple[float, float], share: float) -> Flags:
    """Return which pads, by their corners (n, 4, 2) in the face's plane, cover enough of the hull of a thin-walled end."""
    wanted = asked(face, axes, size, share)
    if not len(rings) or max(wanted) <= 0:
        return np.ones(len(rings), dtype=bool)
    covered = shapely.intersection(shapely.polygons(rings), face.shape.convex_hull)
    points, of = shapely.get_coordinates(covered, return_index=True)
    enough = np.ones(len(rings), dtype=bool)
    for axis, least in zip(axes, wanted, strict=True):
        along = points @ np.array([float(axis @ face.a), float(axis @ face.b)])
        low, high = np.full(len(rings), np.inf), np.full(len(rings), -np.inf)
        np.minimum.at(low, of, along)
        np.maximum.at(high, of, along)
        enough &= high - low >= least
    return enough
