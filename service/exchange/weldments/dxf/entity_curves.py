"""One entity of a drawing as curves in the plane, millimetres; ezdxf reads its numbers, nothing of it is drawn or exploded."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Mapping
from typing import TYPE_CHECKING, Any

import numpy as np

from inventory import limits
from inventory.errors import HoldwrightError
from inventory.shapes import Point2
from service.exchange.weldments.dxf.curves import Curve, EllipticArc, PointedCurve, Straight
from service.exchange.weldments.dxf.splines import MOST_POINTS, UnsoundSpline, spline_points

if TYPE_CHECKING:
    from ezdxf.math import Matrix44

FLAT_MM = 0.01
"""An entity whose heights differ by no more than this, mm, is flat."""
MOST_VERTICES = 20_000
"""Of one polyline."""
_FARTHEST = 1e7
_FULL = 2 * math.pi


class NotFlat(HoldwrightError):
    """An entity that does not lie in the plane of the drawing, or in one level with it."""


class UnsoundEntity(HoldwrightError):
    """An entity with numbers that draw nothing; the text says why."""


def curves_of(entity: Any, matrix: Matrix44) -> tuple[list[Curve], bool]:
    """Return an entity's curves one after another, and whether it is closed by itself.

    Parameters
    ----------
    entity : ezdxf entity of a kind in `KINDS`
    matrix : Matrix44
        From its own coordinates to the drawing's, in millimetres.

    Raises
    ------
    NotFlat
        If it is tilted, or its points differ in height.
    UnsoundEntity
        If it draws nothing.
    """
    found, closed = KINDS[entity.dxftype()](entity, _Plane(matrix))
    curves = [curve for curve in found if not _nothing(curve)]
    if not curves:
        raise UnsoundEntity("has no length")
    return curves, closed


def _nothing(curve: Curve) -> bool:
    """Whether a curve is so short that it is a point."""
    if isinstance(curve, EllipticArc):
        return curve.largest_radius * abs(curve.sweep) < limits.SPACING
    if isinstance(curve, PointedCurve):
        return float(np.ptp(np.array(curve.given), axis=0).max()) < limits.SPACING
    return math.dist(curve.start, curve.end) < limits.SPACING


class _Plane:
    """The way from an entity's coordinates to the plane of the drawing, where all of one entity must lie at one height."""

    def __init__(self, matrix: Matrix44) -> None:
        self.matrix = matrix
        self.height: float | None = None

    def point(self, at: Any) -> Point2:
        """Return where a point lies."""
        x, y, z = self.matrix.transform(at).xyz
        if not all(math.isfinite(c) and abs(c) < _FARTHEST for c in (x, y, z)):
            raise UnsoundEntity("has coordinates that are not finite, or beyond 10 km")
        if self.height is None:
            self.height = z
        if abs(z - self.height) > FLAT_MM:
            raise NotFlat
        return x, y

    def direction(self, along: Any) -> Point2:
        """Return where a direction, with its length, points."""
        x, y, z = self.matrix.transform_direction(along).xyz
        if abs(z) > FLAT_MM:
            raise NotFlat
        return x, y

    def arc(self, centre: Any, major: Any, minor: Any, first: float, last: float) -> EllipticArc:
        """Return an arc that runs from one parameter to another by rising ones."""
        if not (math.isfinite(first) and math.isfinite(last)):
            raise UnsoundEntity("has angles that are not finite")
        sweep = math.fmod(last - first, _FULL)
        sweep += _FULL if sweep <= 1e-9 else 0.0
        return EllipticArc(self.point(centre), self.direction(major), self.direction(minor), math.fmod(first, _FULL), sweep)


def _line(entity: Any, plane: _Plane) -> tuple[list[Curve], bool]:
    return [Straight(plane.point(entity.dxf.start), plane.point(entity.dxf.end))], False


def _circle(entity: Any, plane: _Plane) -> tuple[list[Curve], bool]:
    ocs, radius = entity.ocs(), _radius(entity.dxf.radius)
    axes = ocs.to_wcs((radius, 0, 0)), ocs.to_wcs((0, radius, 0))
    return [plane.arc(ocs.to_wcs(entity.dxf.center), *axes, 0.0, _FULL)], True


def _arc(entity: Any, plane: _Plane) -> tuple[list[Curve], bool]:
    ocs, radius = entity.ocs(), _radius(entity.dxf.radius)
    axes = ocs.to_wcs((radius, 0, 0)), ocs.to_wcs((0, radius, 0))
    first, last = math.radians(entity.dxf.start_angle), math.radians(entity.dxf.end_angle)
    arc = plane.arc(ocs.to_wcs(entity.dxf.center), *axes, first, last)
    return [arc], arc.whole


def _radius(radius: float) -> float:
    if not (math.isfinite(radius) and radius > 0):
        raise UnsoundEntity("has no radius")
    return radius


def _ellipse(entity: Any, plane: _Plane) -> tuple[list[Curve], bool]:
    dxf = entity.dxf
    if not dxf.major_axis.magnitude > 0:
        raise UnsoundEntity("has no major axis")
    minor = dxf.extrusion.normalize().cross(dxf.major_axis) * dxf.ratio
    arc = plane.arc(dxf.center, dxf.major_axis, minor, dxf.start_param, dxf.end_param)
    return [arc], arc.whole


def _light_polyline(entity: Any, plane: _Plane) -> tuple[list[Curve], bool]:
    if len(entity) > MOST_VERTICES:
        raise UnsoundEntity(f"has {len(entity):,} vertices; at most {MOST_VERTICES:,} are read")
    corners = [((x, y, entity.dxf.elevation), bulge) for x, y, bulge in entity.get_points("xyb")]
    return _run(corners, bool(entity.closed), entity.ocs(), plane), bool(entity.closed)


def _polyline(entity: Any, plane: _Plane) -> tuple[list[Curve], bool]:
    if not (entity.is_2d_polyline or entity.is_3d_polyline):
        raise UnsoundEntity("is a mesh")
    if len(entity.vertices) > MOST_VERTICES:
        raise UnsoundEntity(f"has {len(entity.vertices):,} vertices; at most {MOST_VERTICES:,} are read")
    # Vertices of a frame only guide the curve that was fitted to them; the curve's own vertices stand beside them.
    vertices = [vertex for vertex in entity.vertices if not vertex.dxf.flags & 16]
    closed = bool(entity.is_closed)
    if entity.is_3d_polyline:
        corners = [(vertex.dxf.location, 0.0) for vertex in vertices]
        return _run(corners, closed, None, plane), closed
    height = entity.dxf.get("elevation", (0, 0, 0))[2]
    corners = [((vertex.dxf.location.x, vertex.dxf.location.y, height), vertex.dxf.get("bulge", 0.0)) for vertex in vertices]
    return _run(corners, closed, entity.ocs(), plane), closed


def _run(corners: list[tuple[Any, float]], closed: bool, ocs: Any, plane: _Plane) -> list[Curve]:
    """Return the lines and arcs of a polyline; a corner's bulge is the tangent of a quarter of the angle of the arc after it."""
    from ezdxf.math import Vec3, bulge_to_arc

    def world(at: Any) -> Any:
        return Vec3(at) if ocs is None else ocs.to_wcs(Vec3(at))

    pairs: Iterable[tuple[Any, Any]] = zip(corners, [*corners[1:], *(corners[:1] if closed else [])], strict=False)
    found: list[Curve] = []
    for (start, bulge), (end, _) in pairs:
        if not math.isfinite(bulge) or abs(bulge) > 1e4:
            raise UnsoundEntity(f"has a bulge of {bulge}")
        distance = math.hypot(end[0] - start[0], end[1] - start[1])
        if abs(bulge) < 1e-9 or distance < 1e-12:
            found.append(Straight(plane.point(world(start)), plane.point(world(end))))
            continue
        centre, first, last, radius = bulge_to_arc((start[0], start[1]), (end[0], end[1]), bulge)
        axes = world((radius, 0, 0)), world((0, radius, 0))
        arc = plane.arc(world((centre.x, centre.y, start[2])), *axes, first, last)
        found.append(arc if bulge > 0 else arc.reversed())
    return found


def _spline(entity: Any, plane: _Plane) -> tuple[list[Curve], bool]:
    fitted = entity.fit_point_count()
    if max(fitted, entity.control_point_count()) > MOST_POINTS:
        count = max(fitted, entity.control_point_count())
        raise UnsoundEntity(f"has {count:,} points; at most {MOST_POINTS:,} are read")
    if entity.control_point_count() == 0 and fitted < 2:
        raise UnsoundEntity("has no points")
    try:
        tool = entity.construction_tool()
        control = np.array([plane.point(point) for point in tool.control_points])
        points = spline_points(control, tool.degree, tool.knots(), tool.weights())
    except UnsoundSpline as error:
        raise UnsoundEntity(f"is {error}") from None
    return [PointedCurve(tuple(points))], math.dist(points[0], points[-1]) < limits.SPACING


KINDS: Mapping[str, Callable[[Any, _Plane], tuple[list[Curve], bool]]] = {
    "LINE": _line,
    "CIRCLE": _circle,
    "ARC": _arc,
    "ELLIPSE": _ellipse,
    "LWPOLYLINE": _light_polyline,
    "POLYLINE": _polyline,
    "SPLINE": _spline,
}
"""How entities of each kind that may be part of an outline are read."""
