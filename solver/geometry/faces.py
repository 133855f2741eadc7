"""Faces of parts, and the patches where pads and parts touch them."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import shapely
from shapely.geometry import MultiPoint, Polygon, box
from shapely.geometry.base import BaseGeometry

from inventory.shapes import Array
from solver.sections import Section
from solver.weldment import Part

TOUCH = 0.05
"""Touching means within this, mm."""
ROUND_TOUCH = 0.003
"""Round faces are polygons: allow this share of the diameter where they touch."""
PARALLEL = 1e-6
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
    """

    part: int
    label: str
    origin: Array
    a: Array
    b: Array
    normal: Array
    shape: BaseGeometry
    hollow: bool = False

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
    ends = Polygon(section.outline, section.cutouts)
    hollow = section.shape in ("square_tube", "rect_tube", "round_tube")
    faces = [
        Face(index, "start", origin, u, v, -w, ends, hollow),
        Face(index, "end", origin + part.length * w, u, v, w, ends, hollow),
    ]
    for edge in section.edges:
        start = origin + edge.a[0] * u + edge.a[1] * v
        along = np.array([edge.b[0] - edge.a[0], edge.b[1] - edge.a[1]])
        length = float(np.hypot(*along))
        if length < SLIVER:
            continue
        b = (along[0] * u + along[1] * v) / length
        faces.append(
            Face(index, edge.label, start, w, b, edge.normal[0] * u + edge.normal[1] * v, box(0, 0, part.length, length))
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


def pad_axes(normal: Array) -> tuple[Array, Array]:
    """Return a pad's width and height directions for its normal (unit): level first, by the contract."""
    level = np.array([-normal[1], normal[0], 0.0])
    length = float(np.hypot(level[0], level[1]))
    width = np.array([1.0, 0.0, 0.0]) if length < PARALLEL else level / length
    return width, np.cross(normal, width)


def pad_patches(face: Face, centres: Array, width: Array, height: Array, size: tuple[float, float]) -> list[Array | None]:
    """Return the patch (k, 3) in which each pad of `size` at `centres` (n, 3) touches the face, None where it does not.

    A patch is convex. Where pad and face meet in a shape that is not, the pad is not used there, except on the rim of a
    hollow end, where the patch is the hull of what it meets.
    """
    half_w, half_h = size[0] / 2 * width, size[1] / 2 * height
    corners = np.stack([-half_w - half_h, half_w - half_h, half_w + half_h, -half_w + half_h])
    rings = face.flat(centres[:, None, :] + corners[None, :, :])
    met = shapely.intersection(shapely.polygons(rings), face.shape)
    return [_patch(face, shape) for shape in met]


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
    if len(polygon.exterior.coords) <= 13:
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


def spread_along(section: Section, length: float, label: str) -> float:
    """Return a face's length for side spacing: the part's extent along it, mm (an end: the section's larger size)."""
    if label in ("start", "end"):
        us, vs = zip(*section.outline, strict=True)
        return float(max(max(us) - min(us), max(vs) - min(vs)))
    if section.shape == "plate":
        ring_label, k = label.rsplit(":", 1)
        ring = section.outline if ring_label == "side" else section.cutouts[int(ring_label.split(":")[1])]
        a, b = np.array(ring[int(k)]), np.array(ring[(int(k) + 1) % len(ring)])
        along = (b - a) / np.hypot(*(b - a))
        heights = np.array(section.outline) @ along
        return float(heights.max() - heights.min())
    return length


def areas(patches: Sequence[Array]) -> Array:
    """Return the area of each convex patch (k, 3), mm2."""
    found = []
    for patch in patches:
        spokes = patch[1:] - patch[0]
        found.append(0.5 * float(np.linalg.norm(np.cross(spokes[:-1], spokes[1:]).sum(axis=0))) if len(patch) > 2 else 0.0)
    return np.array(found)
