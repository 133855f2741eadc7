"""Weldments that hang over their table's edge: what of their underside the slab bears, and whether they stay."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np

from inventory.shapes import Array
from solver.geometry.plan_view import inside_outline, inside_rectangle
from solver.geometry.tolerances import FLOOR_SLACK
from solver.laying.laid_weldment import LaidWeldment
from solver.laying.requirements import carried, support_margin

NEARLY = 1e-9


def may_overhang(laid: LaidWeldment) -> bool:
    """Return whether a weldment lies on a table without end as it does, not tipped: else it can hang over no edge either."""
    return _stays(laid, laid)


def lies_on(laid: LaidWeldment, low: Array, high: Array) -> LaidWeldment | None:
    """Return the weldment as it lies on a slab from `low` to `high` (2,), hanging over its edges; None if it would tip.

    Its table contacts are what the slab bears; every part the table carried must still be carried, with the margin, and the
    whole weldment's centre of gravity must lie inside the outline of what bears it, or over the slab if rests or V-blocks
    bear it.
    """
    over, margin = _to_lie_over_slab(laid)
    if not ((over >= low + margin - NEARLY) & (over <= high - margin + NEARLY)).all():
        return None
    clipped = _clipped(laid, low, high)
    return clipped if _stays(laid, clipped) else None


def _centre(laid: LaidWeldment) -> Array:
    """Return where the weldment's centre of gravity lies, seen from above (2,)."""
    masses = np.array([part.mass for part in laid.parts])
    centre: Array = masses @ np.array([part.centre[:2] for part in laid.parts]) / masses.sum()
    return centre


def _to_lie_over_slab(laid: LaidWeldment) -> tuple[Array, Array]:
    """Return points (k, 2) that must lie over the slab, and how far inside its edges (k, 1): centres of what it alone carries."""
    points, margins = [_centre(laid)], [laid.rules["locate.support_margin"]]
    for part in laid.parts:
        below = laid.supports_of(part.index)
        if below and all(touch.on_table for touch in below) and carried(laid, part):
            points.append(part.centre[:2])
            margins.append(support_margin(laid, part) - FLOOR_SLACK)
    if not any(touch.on_table for touch in laid.touches):
        points, margins = points[:1], margins[:1]
    return np.array(points), np.array(margins)[:, None]


def _clipped(laid: LaidWeldment, low: Array, high: Array) -> LaidWeldment:
    """Return the weldment with its table contacts cut at the slab's edges."""
    touches = []
    for touch in laid.touches:
        if not touch.on_table:
            touches.append(touch)
            continue
        patch = inside_rectangle(touch.patch, low, high)
        if patch is not None:
            touches.append(replace(touch, patch=patch))
    return replace(laid, touches=tuple(touches))


def _stays(whole: LaidWeldment, clipped: LaidWeldment) -> bool:
    """Return whether a weldment cut at the edge, its centre of gravity over the slab, lies there as it did, not tipped."""
    if not any(touch.on_table for touch in whole.touches):
        return True
    patches = [touch.patch[:, :2] for touch in clipped.touches if touch.on_table]
    margin = math.nextafter(whole.rules["locate.support_margin"], math.inf)
    if not patches or not inside_outline(np.concatenate(patches), _centre(whole), margin):
        return False
    return all(carried(clipped, part) for part in whole.parts if carried(whole, part))
