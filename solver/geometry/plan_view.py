"""Seen from above: how far points lie from patches, which lie within a part's plan, the outlines of bodies with cut ends."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import shapely

from inventory.shapes import Array, Prism
from solver.geometry.cut_solids import plan_left
from solver.geometry.faces import hull_of
from solver.geometry.hulls import Flags, Hulls
from solver.geometry.solids import pieces_of
from solver.geometry.tolerances import LEVEL

LEAST_CUT = 1.0
"""What the slab's edge leaves of a patch is at least this, mm2 (of a line, mm)."""
SEAM = 1e-6
"""Pieces of one body that come this near seen from above are drawn as one, mm."""


def off_patch(patch: Array, points: Array) -> Array:
    """Return the level distances (n,) of points (n, 2+) from a patch (k, 2+), mm; 0 on it."""
    distances: Array = np.asarray(shapely.distance(hull_of(patch[:, :2]), shapely.points(points[:, :2])))
    return distances


def beside_patch(patch: Array, points: Array, reach: float) -> Flags:
    """Return which points (n, 2+) lie level within `reach` (mm) of a patch (k, 2+)."""
    found = _in_box(patch, points, reach)
    rows = np.flatnonzero(found)
    if len(rows):
        found[rows] = off_patch(patch, points[rows]) <= reach
    return found


def within_plan(hulls: Hulls, points: Array, inside: float) -> Flags:
    """Return which points (n, 2+) lie within the plan of some hulls, at least `inside` mm from its edge."""
    found = _in_box(hulls.points, points, max(0.0, -inside))
    rows = np.flatnonzero(found)
    if len(rows):
        plan = shapely.union_all([hull_of(piece[:, :2]) for piece in hulls.each()]).buffer(-inside)
        found[rows] = np.asarray(shapely.contains(plan, shapely.points(points[rows, :2])), dtype=bool)
    return found


def _in_box(outline: Array, points: Array, beyond: float) -> Flags:
    """Return which points (n, 2+) lie no more than `beyond` mm outside the level bounds of an outline (k, 2+)."""
    low, high = outline[:, :2].min(axis=0) - beyond, outline[:, :2].max(axis=0) + beyond
    inside: Flags = ((points[:, :2] >= low) & (points[:, :2] <= high)).all(axis=1)
    return inside


def inside_rectangle(patch: Array, low: Array, high: Array) -> Array | None:
    """Return what of a level convex patch or line (k, 3) lies inside a rectangle seen from above, None if nothing."""
    cut = shapely.intersection(hull_of(patch[:, :2]), shapely.box(*low.tolist(), *high.tolist()))
    if cut.is_empty or (cut.area if len(patch) > 2 else cut.length) < LEAST_CUT:
        return None
    plan = np.array(shapely.get_coordinates(cut))
    plan = plan[:-1] if len(patch) > 2 else plan
    return np.column_stack([plan, np.full(len(plan), patch[0, 2])])


def edges_around(points: Array) -> list[tuple[Array, float]]:
    """Return the outward normal (2,) and reach (mm along it) of every edge of the outline around points (n, 2), none if flat."""
    outline = hull_of(points)
    if outline.geom_type != "Polygon":
        return []
    ring = np.array(shapely.get_coordinates(shapely.normalize(outline)))
    along = np.diff(ring, axis=0)
    along /= np.linalg.norm(along, axis=1)[:, None]
    middle = ring[:-1].mean(axis=0)
    outward = np.stack([along[:, 1], -along[:, 0]], axis=1)
    outward *= np.sign(np.einsum("nk,nk->n", outward, ring[:-1] - middle))[:, None]
    return [(normal, float(normal @ corner)) for normal, corner in zip(outward, ring[:-1], strict=True)]


def inside_outline(patches: Array, point: Array, margin: float) -> bool:
    """Return whether a point (2,) lies at least `margin` mm inside the outline around points (n, 2)."""
    outline = hull_of(patches)
    return bool((outline.buffer(-margin) if margin > 0 else outline).covers(hull_of(point[None, :])))


def rings_from_above(prism: Prism) -> list[Array]:
    """Return the rings (n, 2) around what a prism with cut ends covers, by the even-odd rule, the largest first."""
    frame = np.array(prism.frame)
    if float(np.hypot(frame[2, 0], frame[2, 1])) < LEVEL:
        covered = shapely.transform(plan_left(prism), lambda places: places @ frame[:2, :2].T + frame[:2, 3])
    else:
        pieces = pieces_of(replace(prism, cutouts=()))
        wider = [hull_of(piece[:, :2]).buffer(SEAM, join_style="mitre") for piece in pieces]
        covered = shapely.union_all(wider).buffer(-SEAM, join_style="mitre")
    polygons = sorted(shapely.get_parts(covered).tolist(), key=lambda polygon: -float(polygon.area))
    return [shapely.get_coordinates(ring)[:-1] for polygon in polygons for ring in (polygon.exterior, *polygon.interiors)]
