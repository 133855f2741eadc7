"""Sites whose bodies plainly come too near to a part, by boxes within both: most that ever fall, at little cost.

A body and a part are as near as boxes within them, or nearer: what is told here would fall in screening too.
"""

from __future__ import annotations

import numpy as np

from inventory.shapes import Array
from solver.geometry.hulls import Flags, Index
from solver.geometry.tolerances import HARDWARE_EASE
from solver.hardware.sites import Sites
from solver.laying.laid_weldment import LaidWeldment

HAIR = 1e-3
"""Distances are taken this much to the safe side, mm: shapes are compared another way here."""
DEEP = 6 * HARDWARE_EASE
"""What runs so far into a part is in it still once it is taken off it, contact by contact, mm."""
AT_ONCE = 200_000
"""So many pairs of boxes are compared together."""


def plainly_struck(sites: Sites, laid: LaidWeldment) -> Flags:
    """Flag sites that come nearer than clear.body to a part they do not touch, or run deep into one they do, (n,).

    As far as boxes within tell, and in no round hole.
    """
    bad = np.zeros(len(sites), dtype=bool)
    if not len(sites):
        return bad
    parts, of = laid.inner_boxes
    touched = np.zeros((len(sites), len(laid.parts)), dtype=bool)
    touched[sites.meetings.site, sites.meetings.part] = True
    in_hole = np.array([match.face.label.startswith("cutout:") for match in sites.matches], dtype=bool)
    filled = np.zeros_like(touched)
    filled[sites.meetings.site, sites.meetings.part] |= in_hole[sites.meetings.match]
    for boxes, rows in _bodies(sites):
        step = max(1, AT_ONCE // (len(parts) * len(boxes[0])))
        for first in range(0, len(rows), step):
            some = rows[first : first + step]
            near, within = _near(boxes[first : first + step], parts, laid.rules["clear.body"] - HAIR)
            bad[some] |= np.where(touched[some][:, of], within & ~filled[some][:, of], near).any(axis=1)
    return bad


def _bodies(sites: Sites) -> list[tuple[Array, Index]]:
    """Return by stack the boxes within its bodies at each of its sites (k, boxes, 2, 3), and the sites (k,)."""
    order = np.argsort(sites.stack, kind="stable")
    ends = np.searchsorted(sites.stack[order], np.arange(len(sites.stacks) + 1))
    found = []
    for index in np.flatnonzero(np.diff(ends)).tolist():
        stack, rows = sites.stacks[index], order[ends[index] : ends[index + 1]]
        at = sites.origin[rows][:, None, None, :]
        moved = at + sites.displacement[rows][:, None, None, :]
        still, moving = stack.inner_boxes
        found.append((np.concatenate([still + at, moving + moved], axis=1), rows))
    return found


def _near(boxes: Array, parts: Array, gap: float) -> tuple[Flags, Flags]:
    """Return which parts' boxes (p, 2, 3) any box (k, boxes, 2, 3) of a site is nearer to than a gap, or deep in, (k, p)."""
    squared, most = np.zeros((*boxes.shape[:2], len(parts))), np.full((*boxes.shape[:2], len(parts)), -np.inf)
    for axis in range(3):
        low, high = boxes[:, :, 0, axis, None], boxes[:, :, 1, axis, None]
        apart = np.maximum(low - parts[:, 1, axis], parts[:, 0, axis] - high)
        most = np.maximum(most, apart)
        squared += np.maximum(apart, 0.0) ** 2
    near, within = (squared < gap**2).any(axis=1), (most < -DEEP).any(axis=1)
    return near, within
