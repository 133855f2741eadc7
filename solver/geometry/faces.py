"""Faces of parts, and the patches where pads and parts touch them."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import shapely
from shapely.geometry import MultiPoint, Point, Polygon, box
from shapely.geometry.base import BaseGeometry

from inventory.shapes import Array
from solver.geometry.hulls import Index
from solver.weldment import Part

TOUCH = 0.05
"""Touching means within this, mm."""
ROUND_TOUCH = 0.003
"""Round faces are polygons: allow this share of the diameter where they touch."""
PARALLEL = 1e-6
FINE_RING = 24
"""A ring of at least this many equal sides stands for a circle."""
STRIP = 1.0
"""Of a round cut-out's skin a pad meets at most this width, mm: beyond it circle and polygon part."""
BESIDE_LINE = 0.04
"""A clamp's tip this near (mm) to the line along which a round part is touched stands on it."""
RIM = 0.5
"""A pad meets a wall of a hollow end if it covers at least this much of it, mm."""
SLIVER = 0.5
"""A patch narrower than this (mm) carries nothing."""


@dataclass(frozen=True)
class Face:
    """One face of a part: a plane with a polygon, or (round sections) the tangent line a flat pad touches.

    Parameters
    ----------
    part : int
        Index of the part in the weldment.
    label : str
        The contract's face label.
    origin, a, b, normal : (3,) arrays
        A point of the plane, its two axes (unit), and the outward normal (unit).
    shape : shapely geometry
        The face in (a, b) coordinates, mm; for a hollow end its material only. A tangent line is a LineString.
    hollow : bool
        An end of a hollow section: a pad touches the rim, and its patch is the hull of what it meets.
    rectangle : (float, float) or None
        Sizes along a and b if the shape is the rectangle from (0, 0), mm.
    rim : (float, float, float, float) or None
        Half sizes along a and b, wall and corner radius of a rectangular tube's end, its middle at (0, 0), mm.
    """

    part: int
    label: str
    origin: Array
    a: Array
    b: Array
    normal: Array
    shape: BaseGeometry
    hollow: bool = False
    rectangle: tuple[float, float] | None = None
    rim: tuple[float, float, float, float] | None = None

    @property
    def height(self) -> float:
        """Distance of the plane from the origin along its normal, mm."""
        return float(self.normal @ self.origin)

    def flat(self, points: Array) -> Array:
        """Return points (..., 3) as (..., 2) coordinates of the face's plane."""
        return np.stack([(points - self.origin) @ self.a, (points - self.origin) @ self.b], axis=-1)

    def lifted(self, points: Array) -> Array:
        """Return (..., 2) coordinates of the face's plane as points (..., 3)."""
        lifted: Array = self.origin + points[..., :1] * self.a + points[..., 1:] * self.b
        return lifted

    def corners(self) -> Array:
        """Return the points (k, 3) that span the face."""
        return self.lifted(np.array(outer_points(self.shape)))


def outer_points(shape: BaseGeometry) -> list[tuple[float, float]]:
    """Return the corner points of a polygon's outer ring or a line, not closed."""
    if isinstance(shape, Polygon):
        return [(float(x), float(y)) for x, y in shape.exterior.coords[:-1]]
    return [(float(x), float(y)) for x, y in shape.coords]


def faces_of(index: int, part: Part, frame: Array) -> list[Face]:
    """Return the flat faces of a part placed at `frame` (columns u, v, w, origin)."""
    u, v, w, origin = frame[:3, 0], frame[:3, 1], frame[:3, 2], frame[:3, 3]
    section = part.section
    hollow = section.shape in ("square_tube", "rect_tube", "round_tube")
    ends = Polygon(section.outline, section.cutouts)
    low_u, low_v, high_u, high_v = ends.bounds
    rectangle = None
    if not section.cutouts and len(section.outline) == 4 and ends.area > (1 - 1e-9) * (high_u - low_u) * (high_v - low_v):
        rectangle = (high_u - low_u, high_v - low_v)
        ends = box(0, 0, *rectangle)
        origin = origin + low_u * u + low_v * v
    rim = None
    if section.shape in ("square_tube", "rect_tube"):
        rim = (section.box[0] / 2, section.box[1] / 2, section.wall or 0.0, section.outside_radius)
    faces = [
        Face(index, "start", origin, u, v, -w, ends, hollow, rectangle, rim),
        Face(index, "end", origin + part.length * w, u, v, w, ends, hollow, rectangle, rim),
    ]
    origin = frame[:3, 3]
    for edge in section.edges:
        start = origin + edge.a[0] * u + edge.a[1] * v
        along = np.array([edge.b[0] - edge.a[0], edge.b[1] - edge.a[1]])
        length = float(np.hypot(*along))
        if length < SLIVER:
            continue
        b = (along[0] * u + along[1] * v) / length
        faces.append(
            Face(
                index,
                edge.label,
                start,
                w,
                b,
                edge.normal[0] * u + edge.normal[1] * v,
                box(0, 0, part.length, length),
                rectangle=(part.length, length),
            )
        )
    return faces


def tangent_face(index: int, part: Part, frame: Array, normal: Array) -> Face | None:
    """Return the line of a round part that faces `normal` (outward, unit), or None if that is not square to its axis."""
    w, origin = frame[:3, 2], frame[:3, 3]
    if not part.section.round or abs(float(normal @ w)) > PARALLEL:
        return None
    radius = (part.section.diameter or 0.0) / 2
    line = shapely.LineString([(0.0, 0.0), (part.length, 0.0)])
    return Face(index, "side:0", origin + radius * normal, w, np.cross(normal, w), normal, line)


def round_cutouts(part: Part) -> dict[int, tuple[Array, float]]:
    """Return the cut-outs of a plate that stand for circles, by number: centre (2,) and radius, mm."""
    found = {}
    for number, ring in enumerate(part.section.plate_cutouts):
        points = np.array(ring)
        centre = (points.min(axis=0) + points.max(axis=0)) / 2
        radii = np.hypot(*(points - centre).T)
        if len(ring) >= FINE_RING and float(np.ptp(radii)) <= 2 * ROUND_TOUCH * float(radii.max()):
            found[number] = (centre, float(radii.max()))
    return found


def cutout_faces(index: int, part: Part, frame: Array, normal: Array) -> list[Face]:
    """Return the strips of a plate's round cut-outs that face `normal` (outward, unit), none if that is not square to its axis.

    A strip is as long as the plate is thick and `STRIP` wide; it lies half-way between the circle and its polygon's facet.
    """
    if abs(float(normal @ frame[:3, 2])) > PARALLEL:
        return []
    away = -(normal @ frame[:3, :2])
    across = np.array([-away[1], away[0]])
    found = []
    for number, (centre, radius) in round_cutouts(part).items():
        edges = [edge for edge in part.section.edges if edge.label.startswith(f"cutout:{number}:")]
        edge = max(edges, key=lambda edge: float(-np.array(edge.normal) @ away))
        a, b = np.array(edge.a) - centre, np.array(edge.b) - centre
        ends = sorted((float(a @ across), float(b @ across)))
        low, high = max(ends[0], -STRIP / 2), min(ends[1], STRIP / 2)
        depth = (radius + float((a + b) @ away) / 2) / 2
        at = centre + depth * away + low * across
        origin = frame[:3, 3] + frame[:3, :2] @ at
        size = (part.length, high - low)
        along = frame[:3, :2] @ across
        found.append(Face(index, edge.label, origin, frame[:3, 2], along, normal, box(0, 0, *size), rectangle=size))
    return found


def pad_axes(normal: Array) -> tuple[Array, Array]:
    """Return a pad's width and height directions for its normal (unit): level first, by the contract."""
    level = np.array([-normal[1], normal[0], 0.0])
    length = float(np.hypot(level[0], level[1]))
    width = np.array([1.0, 0.0, 0.0]) if length < PARALLEL else level / length
    return width, np.cross(normal, width)


@dataclass(frozen=True)
class Patches:
    """Where pads meet a face: which pads (indices), their patches (k, 3), and a locating point (3,) in each."""

    pads: Index
    patches: list[Array]
    points: Array


def pad_patches(
    face: Face, centres: Array, axes: tuple[Array, Array], size: tuple[float, float], least: float, *, centred: bool = False
) -> Patches:
    """Return the patches in which pads at `centres` (n, 3), sides along `axes` (unit), touch the face; a patch is convex.

    A patch is at least `least` mm wide and high, or nearly as wide and high as pad or face. Where pad and face meet in a
    shape that is not convex, the pad is not used, except on the rim of a hollow end, where the patch is the hull of what
    it meets. The locating point is the pad's centre, or the patch's nearest point to it; `centred` drops pads whose
    centre is off the patch (a clamp's tip must stand on the part).
    """
    width, height = axes
    if face.rectangle is not None and abs(abs(float(width @ face.a)) - 0.5) > 0.5 - PARALLEL:
        return _rectangles(face, centres, width, size, least, centred)
    if face.rim is not None and abs(abs(float(width @ face.a)) - 0.5) > 0.5 - PARALLEL:
        return _on_rim(face, centres, width, size, least, centred)
    half_w, half_h = size[0] / 2 * width, size[1] / 2 * height
    corners = np.stack([-half_w - half_h, half_w - half_h, half_w + half_h, -half_w + half_h])
    rings = face.flat(centres[:, None, :] + corners[None, :, :])
    near = _within_reach(face, rings, face.flat(centres), centred)
    pads_there = np.asarray(shapely.polygons(rings[near]), dtype=object)
    shapely.prepare(face.shape)
    whole = np.zeros(len(near), dtype=bool) if face.hollow else np.asarray(shapely.covers(face.shape, pads_there))
    inside, partly = near[whole], near[~whole]
    lifted = face.lifted(rings[inside])
    pads, patches, points = inside.tolist(), list(lifted), list(centres[inside])
    wanted = _wanted(face, size, axes, least)
    for index, shape in zip(
        partly.tolist(), np.asarray(shapely.intersection(pads_there[~whole], face.shape), dtype=object).tolist(), strict=True
    ):
        patch = _patch(face, shape)
        if patch is None or any(np.ptp(patch @ axis) < most for most, axis in zip(wanted, (width, height), strict=True)):
            continue
        point, off = _nearest(face, patch, centres[index])
        if not (centred and off):
            pads.append(index)
            patches.append(patch)
            points.append(point)
    return Patches(np.array(pads, dtype=np.intp), patches, np.array(points).reshape(-1, 3))


def _within_reach(face: Face, rings: Array, centres: Array, centred: bool) -> Index:
    """Return which pads can meet the face at all: their bounds overlap its bounds; `centred` ones have their centre there."""
    low_a, low_b, high_a, high_b = face.shape.bounds
    least, most = (centres, centres) if centred else (rings.min(axis=1), rings.max(axis=1))
    slack = BESIDE_LINE if face.shape.geom_type == "LineString" else 1e-6
    meets = (most[:, 0] >= low_a - slack) & (least[:, 0] <= high_a + slack)
    meets &= (most[:, 1] >= low_b - slack) & (least[:, 1] <= high_b + slack)
    return np.flatnonzero(meets)


def _wanted(face: Face, size: tuple[float, float], axes: tuple[Array, Array], least: float) -> list[float]:
    """Return how wide and high a patch must be, mm; a tangent line is as wide as it is."""
    if face.shape.geom_type == "LineString":
        return [0.0, 0.0]
    spread = face.corners()
    return [min(least, 0.9 * pad, 0.9 * float(np.ptp(spread @ axis))) for pad, axis in zip(size, axes, strict=True)]


def _rectangles(face: Face, centres: Array, width: Array, size: tuple[float, float], least: float, centred: bool) -> Patches:
    """Return patches of pads and a face that are rectangles with the same axes: by comparing sides."""
    assert face.rectangle is not None
    swapped = abs(float(width @ face.a)) < 0.5
    half = np.array(size[::-1] if swapped else size) / 2
    whole = np.array(face.rectangle)
    centre = face.flat(centres)
    low, high = np.maximum(centre - half, 0.0), np.minimum(centre + half, whole)
    fits = (high - low >= np.minimum(least, 0.9 * np.minimum(2 * half, whole))).all(axis=1)
    if centred:
        fits &= (centre >= -1e-6).all(axis=1) & (centre <= whole + 1e-6).all(axis=1)
    pads = np.flatnonzero(fits)
    low, high = low[pads], high[pads]
    rings = np.stack([low, np.stack([high[:, 0], low[:, 1]], axis=1), high, np.stack([low[:, 0], high[:, 1]], axis=1)], axis=1)
    return Patches(pads, list(face.lifted(rings)), face.lifted(np.clip(centre[pads], low, high)))


def _on_rim(face: Face, centres: Array, width: Array, size: tuple[float, float], least: float, centred: bool) -> Patches:
    """Return patches on the rim of a rectangular tube: between two opposite walls if a pad meets both, else on one wall.

    A rectangle inside the hull of what pad and rim share; corners are taken as square where they are round, inwards.
    """
    assert face.rim is not None
    half = np.array(face.rim[:2])
    wall, radius = face.rim[2], face.rim[3]
    swapped = abs(float(width @ face.a)) < 0.5
    pad = np.array(size[::-1] if swapped else size) / 2
    centre = face.flat(centres)
    low, high = centre - pad, centre + pad
    best_low, best_high = np.zeros((len(centres), 2)), np.full((len(centres), 2), -1.0)
    for across in (0, 1):
        along = 1 - across
        meets_low = (low[:, across] < wall - half[across] - RIM) & (high[:, across] > RIM - half[across])
        meets_high = (high[:, across] > half[across] - wall + RIM) & (low[:, across] < half[across] - RIM)
        first = np.where(meets_low, np.maximum(low[:, across], -half[across]), np.maximum(low[:, across], half[across] - wall))
        last = np.where(meets_high, np.minimum(high[:, across], half[across]), np.minimum(high[:, across], wall - half[across]))
        corner_low, corner_high = np.zeros((len(centres), 2)), np.zeros((len(centres), 2))
        corner_low[:, across], corner_high[:, across] = first, last
        corner_low[:, along] = np.maximum(low[:, along], radius - half[along])
        corner_high[:, along] = np.minimum(high[:, along], half[along] - radius)
        larger = (meets_low | meets_high) & (corner_high > corner_low).all(axis=1)
        larger &= (corner_high - corner_low).prod(axis=1) > np.maximum(best_high - best_low, 0).prod(axis=1)
        best_low[larger], best_high[larger] = corner_low[larger], corner_high[larger]
    wanted = np.minimum(np.minimum(least, 0.9 * 2 * pad), 0.5 * wall)
    fits = (best_high - best_low >= wanted).all(axis=1)
    if centred:
        fits &= (centre >= best_low - 1e-6).all(axis=1) & (centre <= best_high + 1e-6).all(axis=1)
    pads = np.flatnonzero(fits)
    a, b = best_low[pads], best_high[pads]
    rings = np.stack([a, np.stack([b[:, 0], a[:, 1]], axis=1), b, np.stack([a[:, 0], b[:, 1]], axis=1)], axis=1)
    return Patches(pads, list(face.lifted(rings)), face.lifted(np.clip(centre[pads], a, b)))


def _nearest(face: Face, patch: Array, centre: Array) -> tuple[Array, bool]:
    """Return the patch's nearest point to a pad's centre, and whether the centre is off the patch."""
    hull = hull_of(face.flat(patch))
    point = Point(face.flat(centre))
    off = hull.distance(point)
    if off < 1e-6:
        return centre, False
    beside = BESIDE_LINE if face.shape.geom_type == "LineString" else 0.0
    return face.lifted(np.array(shapely.shortest_line(hull, point).coords[0])), off > beside


def _patch(face: Face, shape: BaseGeometry) -> Array | None:
    if shape.is_empty:
        return None
    if face.hollow:
        shape = shape.convex_hull
    if shape.geom_type == "LineString" and face.shape.geom_type == "LineString":
        return face.lifted(np.array(outer_points(shape))) if shape.length > SLIVER else None
    if not isinstance(shape, Polygon):
        return None
    hull = shape.convex_hull
    if hull.area - shape.area > 1e-6 * hull.area or hull.area < SLIVER * shape.length / 2:
        return None
    return face.lifted(np.array(outer_points(simplified(hull))))


def simplified(polygon: BaseGeometry) -> BaseGeometry:
    """Return a convex polygon with fewer corners, none outside the old one: arcs keep every other corner at most."""
    if not isinstance(polygon, Polygon) or len(polygon.exterior.coords) <= 13:
        return polygon
    simple = polygon.simplify(0.4)
    return simple if isinstance(simple, Polygon) and not simple.is_empty else polygon


def facing(one: Face, other: Face) -> Array | None:
    """Return the patch (k, 3) where two opposite, coplanar faces touch, None if they do not.

    `one`'s shape is taken without its hollow (a tube's end stands on its outline).
    """
    if float(one.normal @ other.normal) > -1 + PARALLEL or abs(float((other.origin - one.origin) @ one.normal)) > TOUCH:
        return None
    mapped = shapely.transform(_whole(other), lambda xy: one.flat(other.lifted(xy)))
    met = shapely.intersection(_whole(one), mapped)
    if met.geom_type == "LineString":
        tangent = one.shape.geom_type == "LineString" or other.shape.geom_type == "LineString"
        return one.lifted(np.array(outer_points(met))) if tangent and met.length > SLIVER else None
    if isinstance(met, Polygon) and not met.is_empty and met.area > SLIVER * met.length / 2:
        return one.lifted(np.array(outer_points(simplified(met.convex_hull))))
    return None


def _whole(face: Face) -> BaseGeometry:
    return Polygon(face.shape.exterior) if face.hollow and isinstance(face.shape, Polygon) else face.shape


def hull_of(points: Array) -> BaseGeometry:
    """Return the convex hull of (n, 2) points."""
    return MultiPoint(points).convex_hull


def area(patch: Array) -> float:
    """Return the area of a flat convex patch (k, 3), mm2."""
    if len(patch) < 3:
        return 0.0
    spokes = patch[1:] - patch[0]
    x, y = spokes[:-1].T, spokes[1:].T
    cross = (x[1] * y[2] - x[2] * y[1]).sum(), (x[2] * y[0] - x[0] * y[2]).sum(), (x[0] * y[1] - x[1] * y[0]).sum()
    return 0.5 * float(np.sqrt(cross[0] ** 2 + cross[1] ** 2 + cross[2] ** 2))


def areas(patches: Sequence[Array]) -> Array:
    """Return the areas (n,) of flat convex patches, mm2; four-cornered ones all at once."""
    found = np.zeros(len(patches))
    four = [k for k, patch in enumerate(patches) if len(patch) == 4]
    if four:
        rings = np.array([patches[k] for k in four])
        found[four] = 0.5 * np.linalg.norm(np.cross(rings[:, 2] - rings[:, 0], rings[:, 3] - rings[:, 1]), axis=1)
    for k, patch in enumerate(patches):
        if len(patch) != 4:
            found[k] = area(patch)
    return found
