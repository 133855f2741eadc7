"""Where a straight line runs through a prism: what an item's check asks of pads and pegs."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise

import numpy as np

from inventory.shapes import Array, Point3, Prism

_FAR = 1e9
_APART = 1e-9


def stretches(prism: Prism, at: Point3 | Array, way: Point3 | Array) -> list[tuple[float, float]]:
    """Return the stretches of a line, mm from `at` along `way` (unit), that lie in a prism, in order.

    What runs along a face is in the prism or not, as rounding has it: ask beside faces.
    """
    frame = np.array(prism.frame)
    origin = frame[:3, :3].T @ (np.array(at) - frame[:3, 3])
    direction = frame[:3, :3].T @ np.array(way)
    low, high = -_FAR, _FAR
    planes = [((0.0, 0.0, 1.0), prism.end), ((0.0, 0.0, -1.0), -prism.start)]
    planes += [(cut.normal, cut.offset) for cut in prism.cuts]
    for normal, offset in planes:
        rate, gap = float(np.dot(normal, direction)), offset - float(np.dot(normal, origin))
        if abs(rate) < _APART:
            if gap < 0:
                return []
        elif rate > 0:
            high = min(high, gap / rate)
        else:
            low = max(low, gap / rate)
    if high - low <= _APART:
        return []
    rings = (prism.outline, *prism.cutouts)
    breaks = sorted({low, high, *(t for ring in rings for t in _crossings(ring, origin, direction) if low < t < high)})
    found: list[tuple[float, float]] = []
    for a, b in pairwise(breaks):
        middle = origin + (a + b) / 2 * direction
        if not _inside(rings, float(middle[0]), float(middle[1])):
            continue
        if found and a - found[-1][1] <= _APART:
            found[-1] = (found[-1][0], b)
        else:
            found.append((a, b))
    return found


def _crossings(ring: Sequence[Sequence[float]], origin: Array, direction: Array) -> list[float]:
    """Return where a line crosses the sides of a ring as seen along the prism."""
    corners = np.array(ring, dtype=float)
    sides = np.roll(corners, -1, axis=0) - corners
    du, dv = float(direction[0]), float(direction[1])
    rates = sides[:, 0] * dv - sides[:, 1] * du
    crossed = np.abs(rates) > _APART
    gaps = corners[crossed] - origin[:2]
    sides, rates = sides[crossed], rates[crossed]
    along = (sides[:, 0] * gaps[:, 1] - sides[:, 1] * gaps[:, 0]) / rates
    share = (du * gaps[:, 1] - dv * gaps[:, 0]) / rates
    return [float(t) for t, s in zip(along, share, strict=True) if -_APART <= s <= 1 + _APART]


def _inside(rings: Sequence[Sequence[Sequence[float]]], u: float, v: float) -> bool:
    odd = False
    for ring in rings:
        for (au, av), (bu, bv) in zip(ring, (*ring[1:], ring[0]), strict=True):
            if (av > v) != (bv > v) and u < au + (v - av) / (bv - av) * (bu - au):
                odd = not odd
    return odd
