"""A weldment mirrored along an axis of its frame: the other hand of a left- and right-hand pair.

Every section keeps its outline and its frame stays a proper rigid one: a prism is its own mirror image across the middle of its
length, so each part is mirrored and run the other way along w. What was its `start` is its `end`; sides keep their numbers.

Example:

```text
   angle, heel on the left             mirrored along x, heel on the right
   |                                                 |
   |____ w into the page                         ____|  w out of the page: the same outline, seen from its other end
```
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import replace
from itertools import pairwise

import numpy as np

from inventory.shapes import Array, PlaneCut, Point3
from solver.geometry.joints import Wedge, open_side, wedges
from solver.variants import Mirror
from solver.weldment import OpenDimension, Part, Pose, Tolerance, Weld, Weldment

AXES: tuple[Mirror, ...] = ("x", "y")


def mirrored(weldment: Weldment, axis: Mirror) -> Weldment:
    """Return a weldment mirrored along an axis: every x (or y) of its frame has its sign turned."""
    flip = np.ones(3)
    flip[AXES.index(axis)] = -1.0
    return Weldment(
        tuple(_part(part, flip) for part in weldment.parts),
        tuple(_weld(weldment, weld, flip) for weld in weldment.welds),
        weldment.name,
        tuple(_tolerance(entry, flip) for entry in weldment.tolerances),
        tuple(
            OpenDimension(entry.part, _flipped(entry.direction, flip), entry.low, entry.high)
            for entry in weldment.open_dimensions
        ),
        weldment.units,
    )


def _flipped(point: Sequence[float], flip: Array) -> Point3:
    x, y, z = (float(value * sign) + 0.0 for value, sign in zip(point, flip, strict=True))
    return x, y, z


def _part(part: Part, flip: Array) -> Part:
    pose = part.pose
    far = tuple(a + part.length * b for a, b in zip(pose.at, pose.along, strict=True))
    along = tuple(-value for value in pose.along)
    cuts = tuple(
        PlaneCut((cut.point[0], cut.point[1], part.length - cut.point[2]), (cut.normal[0], cut.normal[1], 0.0 - cut.normal[2]))
        for cut in part.cuts
    )
    return replace(part, pose=Pose(_flipped(far, flip), _flipped(along, flip), _flipped(pose.up, flip)), cuts=cuts)


def _tolerance(entry: Tolerance, flip: Array) -> Tolerance:
    return replace(entry, point=_flipped(entry.point, flip), direction=_flipped(entry.direction, flip))


def _weld(weldment: Weldment, weld: Weld, flip: Array) -> Weld:
    side = weld.side if weld.side is not None else _side_needed(weldment, weld, flip)
    path = tuple(_flipped(point, flip) for point in weld.path)
    return replace(weld, path=path, side=None if side is None else _flipped(side, flip))


def _side_needed(weldment: Weldment, weld: Weld, flip: Array) -> Point3 | None:
    """Return the side a bead lies on, where its mirror image would be taken for lying on another; None where it would not.

    None, too, of a bead on an outer body: what is open there is not known.
    """
    if any(weldment.part(id).body for id in weld.parts):
        return None
    for chosen, found in _open_wedges(weldment, weld):
        images = [replace(wedge, bisector=wedge.bisector * flip) for wedge in found]
        taken = open_side(images, None)
        if taken is not None and float(taken.bisector @ (chosen * flip)) < 1 - 1e-6:
            return float(chosen[0]), float(chosen[1]), float(chosen[2])
    return None


def _open_wedges(weldment: Weldment, weld: Weld) -> Iterator[tuple[Array, list[Wedge]]]:
    """Yield, for every straight stretch with several open sides, the bisector of that the bead lies on, and all sides."""
    parts = (weldment.part(weld.parts[0]).drawn,), (weldment.part(weld.parts[1]).drawn,)
    size = weld.leg or (weld.throat or 0.0) * math.sqrt(2)
    path = np.array(weld.path)
    for a, b in pairwise(path):
        found = wedges((a + b) / 2, (b - a) / np.linalg.norm(b - a), parts, size)
        chosen = open_side(found, None)
        if chosen is not None and len(found) > 1:
            yield chosen.bisector, found
