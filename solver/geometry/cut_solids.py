"""Prisms with cut ends: what is left in plan, its convex pieces, its volume and moments, and cuts that make no sense.

A plan lists a part with cut ends as the request gives it: one prism and the planes that cut it, exact whatever their angle. What
is left above each point of its outline is one stretch along the part, so it is one piece just if its plan is. Volume, centre of
gravity and inertia are integrals over that plan; whatever comes near it comes near one of its convex pieces.

A convex piece is given by its points. Cut by a plane it keeps the points on the near side, and gets those where the lines to
points on the far side pass the plane: among them are all corners of the section, and none lies outside the piece.
Source: Sutherland and Hodgman, "Reentrant polygon clipping", Communications of the ACM, 1974, for rings cut by half planes.

Example:

```text
      ________________          a tube 50 wide, cut through its outer edge at 45 degrees: its outside keeps its length, its
     |               /          inside loses 50, and it weighs what one shorter by 25 does
     |______________/
```
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry import Polygon, box
from shapely.geometry.base import BaseGeometry

from inventory.cuts import Bounds, Line, PlaneCut, clipped
from inventory.errors import Fault
from inventory.shapes import Array, Prism

ON_PLANE = 1e-9
"""Points this near to a cut lie on it, mm."""
WAYS = 32
"""Directions in which the outermost points are found before the others are looked at; the more corners, the more it saves."""
IDLE = 1e-6
"""A cut that takes no more than this away (mm3) cuts nothing."""
SPECK = 1e-6
"""A plan area this small (mm2) is no piece of its own."""
RULE = np.array([[1 / 3, 1 / 3, 1 / 3], [0.6, 0.2, 0.2], [0.2, 0.6, 0.2], [0.2, 0.2, 0.6]])
WEIGHTS = np.array([-27.0, 25.0, 25.0, 25.0]) / 48
"""Corners' shares and weights that integrate cubics over a triangle exactly (Stroud, "Approximate Calculation of Multiple
Integrals", 1971, T2: 3-1)."""


@dataclass(frozen=True)
class Moments:
    """Volume (mm3), its first moments (3,) and second moments (3, 3) about the prism's origin."""

    volume: float
    first: Array
    second: Array


def normal_planes(cuts: Sequence[PlaneCut], frame: Array) -> list[tuple[Array, float]]:
    """Return each cut's normal (3,) and offset (mm along it) as seen from the parent of a frame (4x4)."""
    turned = [frame[:3, :3] @ np.array(cut.normal) for cut in cuts]
    return [(normal, cut.offset + float(normal @ frame[:3, 3])) for normal, cut in zip(turned, cuts, strict=True)]


def piece_left(points: Array, planes: Sequence[tuple[Array, float]]) -> Array:
    """Return what planes (normal, offset) leave of a convex piece given by its points (n, 3); empty if nothing."""
    for normal, offset in planes:
        depth = points @ normal - offset
        out = depth > ON_PLANE
        if not out.any():
            continue
        if not (depth < -ON_PLANE).any():
            return np.zeros((0, 3))
        on = np.abs(depth) <= ON_PLANE
        near, far = np.flatnonzero(~out & ~on), np.flatnonzero(out)
        share = depth[near, None] / (depth[near, None] - depth[None, far])
        passed = points[near, None] + share[:, :, None] * (points[None, far] - points[near, None])
        section = np.concatenate([points[on], passed.reshape(-1, 3)])
        points = np.concatenate([points[near], _corners(section, normal)])
    return points


def _corners(points: Array, normal: Array) -> Array:
    """Return the corners of the convex hull of points (n, 3) in a plane."""
    across = [axis for axis in range(3) if axis != int(np.abs(normal).argmax())]
    outer = _outermost(points[:, across])
    flat = points[outer][:, across]
    hull = shapely.get_coordinates(shapely.convex_hull(shapely.multipoints(flat)))
    places, first = np.unique(flat @ [1, 1j], return_index=True)
    corners: Array = points[np.unique(outer[first[np.searchsorted(places, hull @ [1, 1j])]])]
    return corners


def _outermost(flat: Array) -> NDArray[np.intp]:
    """Return the rows of points (n, 2) that do not lie inside the polygon of those outermost in a few directions."""
    turns = np.linspace(0, 2 * np.pi, WAYS, endpoint=False)
    ends = flat[np.unique((flat @ np.stack([np.cos(turns), np.sin(turns)])).argmax(axis=0))]
    middle = ends.mean(axis=0)
    ring = ends[np.argsort(np.arctan2(*(ends - middle).T[::-1]), kind="stable")]
    outside = np.zeros(len(flat), dtype=bool)
    for start, stop in zip(ring, np.roll(ring, -1, axis=0), strict=True):
        (du, dv), away = stop - start, flat - start
        outside |= du * away[:, 1] - dv * away[:, 0] <= ON_PLANE * float(np.hypot(du, dv))
    return np.flatnonzero(outside)


def plan_left(prism: Prism) -> BaseGeometry:
    """Return the part of a prism's outline, in its (u, v) plane, above which its cuts leave anything."""
    return in_half_planes(Polygon(prism.outline, prism.cutouts), Bounds.of(prism.start, prism.end, prism.cuts).half_planes())


def in_half_planes(shape: BaseGeometry, half_planes: Sequence[Line]) -> BaseGeometry:
    """Return what of a flat shape lies in all half planes: polygons of polygons, lines of lines."""
    if shape.is_empty:
        return shape
    low_x, low_y, high_x, high_y = shape.bounds
    margin = 1.0 + high_x - low_x + high_y - low_y
    window = np.array(box(low_x - margin, low_y - margin, high_x + margin, high_y + margin).exterior.coords[:-1])
    left = clipped(window, half_planes)
    if len(left) < 3:
        return Polygon()
    found = shape.intersection(Polygon(left))
    kind = Polygon if shape.geom_type in ("Polygon", "MultiPolygon") else shapely.LineString
    kept = [piece for piece in shapely.get_parts(found) if isinstance(piece, kind) and max(piece.area, piece.length) > SPECK]
    return kept[0] if len(kept) == 1 else shapely.union_all(kept) if kept else Polygon()


def moments(rings: Sequence[Array], start: float, end: float, cuts: Sequence[PlaneCut]) -> Moments:
    """Return the moments of a prism whose outline is the first ring (n, 2), its cut-outs the others. Exact."""
    volume, first, second = 0.0, np.zeros(3), np.zeros((3, 3))
    for low, high, planes in Bounds.of(start, end, cuts).cells():
        for number, ring in enumerate(rings):
            cell = clipped(ring, planes)
            if len(cell) < 3:
                continue
            places, weights = _quadrature(cell)
            weights = weights if (weights.sum() > 0) == (number == 0) else -weights
            a, b = (places @ np.array(line[:2]) + line[2] for line in (low, high))
            middle = np.column_stack([places, (a + b) / 2])
            shares = weights * (b - a)
            volume += float(shares.sum())
            first += shares @ middle
            second += (middle * shares[:, None]).T @ middle
            second[2, 2] += float(shares @ (b - a) ** 2) / 12
    return Moments(volume, first, second)


def _quadrature(ring: Array) -> tuple[Array, Array]:
    """Return points (m, 2) and weights (m,) that integrate cubics over the inside of a ring, triangle by triangle."""
    p, q = ring[1:-1], ring[2:]
    doubled = (p[:, 0] - ring[0, 0]) * (q[:, 1] - ring[0, 1]) - (p[:, 1] - ring[0, 1]) * (q[:, 0] - ring[0, 0])
    corners = np.stack([np.broadcast_to(ring[0], p.shape), p, q], axis=1)
    places = np.einsum("kc,ncx->nkx", RULE, corners).reshape(-1, 2)
    return places, (doubled[:, None] / 2 * WEIGHTS).reshape(-1)


def senseless(prism: Prism) -> Iterator[Fault]:
    """Yield the cuts of a sound prism that take nothing away, and a fault if what is left falls apart."""
    rings = [np.array(ring, dtype=float) for ring in (prism.outline, *prism.cutouts)]
    cuts = dict(enumerate(prism.cuts))
    volume = moments(rings, prism.start, prism.end, prism.cuts).volume
    for number in reversed(range(len(prism.cuts))):
        others = [cut for k, cut in cuts.items() if k != number]
        if moments(rings, prism.start, prism.end, others).volume - volume <= IDLE:
            del cuts[number]
            yield Fault(f"/cuts/{number}", "the cut takes nothing away", "a cut that meets what the others leave of the part")
    pieces = shapely.get_num_geometries(plan_left(prism))
    if pieces > 1:
        yield Fault("/cuts", f"the cuts leave {pieces} pieces", "cuts that leave one piece")
