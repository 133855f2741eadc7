"""Faces of parts, and the patches where pads and parts touch them."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np
import shapely
from shapely.geometry import MultiPoint, MultiPolygon, Polygon, box
from shapely.geometry.base import BaseGeometry

from inventory.shapes import Array
from solver.geometry.hulls import Hulls
from solver.geometry.tolerances import PARALLEL, ROUND_TOUCH, TOUCH
from solver.sections import Section
from solver.weldment import Part

FINE_RING = 24
"""A ring of at least this many equal sides stands for a circle."""
STRIP = 1.0
"""Of a round cut-out's skin a pad meets at most this width, mm: beyond it circle and polygon part."""
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
        The face's label, as documents name it (`start`, `end`, `side:0`, ...).
    origin, a, b, normal : (3,) arrays
        A point of the plane, its two axes (unit), and the outward normal (unit).
    shape : shapely geometry
        The face in (a, b) coordinates, mm; for a hollow end its material only. A tangent line is a LineString.
    hollow : bool
        An end of a hollow section: where a pad's patch spans the hollow it stands on it, too.
    rectangle : (float, float) or None
        Sizes along a and b if the shape is the rectangle from (0, 0), mm.
    wall : float or None
        The least thickness if it is an end of a thin-walled section, mm: a pad's patch is the hull of what it meets.
    filled : shapely geometry or None
        The shape with its hollow filled, where that is not what its outer ring encloses: an end that is cut through its hollow.
    sides : (k, 3) array or None
        Half planes (a x + b y + c <= 0) whose common part the shape is, of a rectangle that cuts have shortened.
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
    wall: float | None = None
    filled: BaseGeometry | None = None
    sides: Array | None = None

    @property
    def whole(self) -> BaseGeometry:
        """The shape without its hollow: a tube's end stands on its outline."""
        if self.filled is not None:
            return self.filled
        return Polygon(self.shape.exterior) if self.hollow and isinstance(self.shape, Polygon) else self.shape

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
        return self._corners

    @cached_property
    def heights(self) -> tuple[float, float]:
        """The least and the greatest z of the face."""
        heights = self._corners[:, 2]
        return float(heights.min()), float(heights.max())

    @cached_property
    def _corners(self) -> Array:
        return self.lifted(np.array(outer_points(self.shape if self.filled is None else self.filled)))


def outer_points(shape: BaseGeometry) -> list[tuple[float, float]]:
    """Return the corner points of a polygon's outer ring, of the hull of several polygons, or of a line, not closed."""
    shape = shape.convex_hull if isinstance(shape, MultiPolygon) else shape
    if isinstance(shape, Polygon):
        return [(float(x), float(y)) for x, y in shape.exterior.coords[:-1]]
    return [(float(x), float(y)) for x, y in shape.coords]


def faces_of(index: int, part: Part, frame: Array) -> list[Face]:
    """Return the flat faces of a part placed at `frame` (columns u, v, w, origin)."""
    u, v, w, origin = frame[:3, 0], frame[:3, 1], frame[:3, 2], frame[:3, 3]
    section = part.section
    ends = Polygon(section.outline, section.cutouts)
    low_u, low_v, high_u, high_v = ends.bounds
    rectangle = None
    if not section.cutouts and len(section.outline) == 4 and ends.area > (1 - 1e-9) * (high_u - low_u) * (high_v - low_v):
        rectangle = (high_u - low_u, high_v - low_v)
        ends = box(0, 0, *rectangle)
        origin = origin + low_u * u + low_v * v
    wall = bears_on_rim(section)
    faces = [
        Face(index, "start", origin, u, v, -w, ends, section.hollow, rectangle, wall),
        Face(index, "end", origin + part.length * w, u, v, w, ends, section.hollow, rectangle, wall),
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


def bears_on_rim(section: Section) -> float | None:
    """Return the least thickness (mm) of a thin-walled section, on whose end a pad bears on the rim; None of other sections."""
    outline = Polygon(section.outline)
    open_profile = section.profile.outer is not None and outline.convex_hull.area - outline.area > SLIVER
    return section.thinnest if section.hollow or open_profile else None


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
    """Return a pad's width and height directions for its normal (unit): its width is level."""
    level = np.array([-normal[1], normal[0], 0.0])
    length = float(np.hypot(level[0], level[1]))
    width = np.array([1.0, 0.0, 0.0]) if length < PARALLEL else level / length
    upward = np.array([-normal[2] * width[1], normal[2] * width[0], normal[0] * width[1] - normal[1] * width[0]])
    return width, upward


def simplified(polygon: BaseGeometry) -> BaseGeometry:
    """Return a convex polygon with fewer corners, none outside the old one: arcs keep every other corner at most."""
    if not isinstance(polygon, Polygon) or len(polygon.exterior.coords) <= 13:
        return polygon
    simple = polygon.simplify(0.4)
    return simple if isinstance(simple, Polygon) and not simple.is_empty else polygon


def facing(one: Face, other: Face) -> Array | None:
    """Return the patch (k, 3) where two opposite, coplanar faces touch, None if they do not."""
    if float(one.normal @ other.normal) > -1 + PARALLEL or abs(float((other.origin - one.origin) @ one.normal)) > TOUCH:
        return None
    mapped = shapely.transform(other.whole, lambda xy: one.flat(other.lifted(xy)))
    met = shapely.intersection(one.whole, mapped)
    if met.geom_type == "LineString":
        tangent = one.shape.geom_type == "LineString" or other.shape.geom_type == "LineString"
        return one.lifted(np.array(outer_points(met))) if tangent and met.length > SLIVER else None
    if isinstance(met, Polygon) and not met.is_empty and met.area > SLIVER * met.length / 2:
        return one.lifted(np.array(outer_points(simplified(met.convex_hull))))
    return None


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


def areas(patches: Hulls) -> Array:
    """Return the areas (n,) of flat convex patches, mm2; four-cornered ones all at once."""
    found = np.zeros(len(patches))
    four = np.flatnonzero(patches.count == 4)
    rings = patches.points[patches.first[four][:, None] + np.arange(4)]
    found[four] = 0.5 * np.linalg.norm(np.cross(rings[:, 2] - rings[:, 0], rings[:, 3] - rings[:, 1]), axis=1)
    for k in np.flatnonzero(patches.count != 4).tolist():
        found[k] = area(patches.points[patches.first[k] : patches.first[k] + patches.count[k]])
    return found
