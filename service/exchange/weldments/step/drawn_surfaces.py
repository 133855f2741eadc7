"""Surfaces of a STEP file's faces as plain values: planes and cylinders, also those that are written as free forms.

A free form that is nowhere farther than `TRUE` from a plane or a cylinder is taken for that.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Any

import numpy as np

from inventory.shapes import Array, Point3
from service.exchange.weldments.step.drawn_edges import point3
from solver.recognition import CylinderSurface, FreeSurface, PlaneSurface

TRUE = 0.001
_KINDS = {
    "GeomAbs_Cone": "cone",
    "GeomAbs_Sphere": "sphere",
    "GeomAbs_Torus": "torus",
    "GeomAbs_SurfaceOfRevolution": "turned form",
    "GeomAbs_SurfaceOfExtrusion": "drawn-out curve",
}


def drawn_surface(face: Any, sense: float, points: Sequence[Point3]) -> PlaneSurface | CylinderSurface | FreeSurface:
    """Return what a face (TopoDS_Face) lies on.

    Parameters
    ----------
    sense : float
        1 if the solid is the right way round, -1 if it is inside out.
    points : sequence of points
        On its edges, mm.
    """
    from OCP.BRepAdaptor import BRepAdaptor_Surface
    from OCP.GeomAbs import GeomAbs_SurfaceType

    surface = BRepAdaptor_Surface(face)
    kind = surface.GetType()
    if kind == GeomAbs_SurfaceType.GeomAbs_Plane:
        at, normal = _outward(face, surface, sense)
        return PlaneSurface(point3(surface.Plane().Location()), _clean(normal))
    if kind == GeomAbs_SurfaceType.GeomAbs_Cylinder:
        at, normal = _outward(face, surface, sense)
        return _cylinder(surface.Cylinder(), at, normal, points, (surface.FirstUParameter(), surface.LastUParameter()))
    taken = _recognised(face, surface, sense, points)
    return taken or FreeSurface(_KINDS.get(kind.name, "free form"))


def _outward(face: Any, surface: Any, sense: float) -> tuple[Array, Array]:
    """Return a point amidst a face's parameters and the unit normal there, out of the solid."""
    from OCP.gp import gp_Pnt, gp_Vec
    from OCP.TopAbs import TopAbs_Orientation

    u = (surface.FirstUParameter() + surface.LastUParameter()) / 2
    v = (surface.FirstVParameter() + surface.LastVParameter()) / 2
    at, along_u, along_v = gp_Pnt(), gp_Vec(), gp_Vec()
    surface.D1(u, v, at, along_u, along_v)
    normal = np.cross(point3(along_u), point3(along_v))
    size = float(np.linalg.norm(normal)) or 1.0
    turned = -sense if face.Orientation() == TopAbs_Orientation.TopAbs_REVERSED else sense
    return np.array(point3(at)), normal / size * turned


def _clean(direction: Array) -> Point3:
    """Return a unit direction without the noise of computing."""
    kept = np.where(np.abs(direction) < 1e-12, 0.0, direction)
    x, y, z = (float(c) for c in kept / np.linalg.norm(kept))
    return x, y, z


def _cylinder(
    cylinder: Any, at: Array, normal: Array, points: Sequence[Point3], turns: tuple[float, float] | None
) -> CylinderSurface:
    """Return a cylinder: by its own angles if they are known, else by the angles of points on its edges."""
    place = cylinder.Position()
    centre, axis = np.array(point3(cylinder.Location())), np.array(point3(cylinder.Axis().Direction()))
    reference = np.array(point3(place.XDirection()))
    out = at - centre
    convex = float(np.dot(out - float(out @ axis) * axis, normal)) > 0
    if turns is None:
        turns = _turns(np.array(points) - centre, reference, np.cross(axis, reference))
    elif not place.Direct():
        turns = -turns[1], -turns[0]
    return CylinderSurface(point3(cylinder.Location()), _clean(axis), _clean(reference), cylinder.Radius(), *turns, convex)


def _turns(out: Array, x: Array, y: Array) -> tuple[float, float]:
    """Return between which angles points (n, 3) lie: all but the widest gap, or all round if no gap is wide."""
    angles = np.sort(np.arctan2(out @ y, out @ x))
    gaps = np.diff([*angles, angles[0] + 2 * math.pi])
    widest = int(gaps.argmax())
    if gaps[widest] < math.radians(8):
        return 0.0, 2 * math.pi
    first = float(angles[(widest + 1) % len(angles)])
    return first, first + 2 * math.pi - float(gaps[widest])


def _recognised(face: Any, surface: Any, sense: float, points: Sequence[Point3]) -> PlaneSurface | CylinderSurface | None:
    """Return the plane or cylinder that a face of another kind is in truth."""
    from OCP.gp import gp_Cylinder, gp_Pln
    from OCP.ShapeAnalysis import ShapeAnalysis_CanonicalRecognition

    canonical = ShapeAnalysis_CanonicalRecognition(face)
    plane, cylinder = gp_Pln(), gp_Cylinder()
    if canonical.IsPlane(TRUE, plane):
        _, normal = _outward(face, surface, sense)
        true = np.array(point3(plane.Axis().Direction()))
        return PlaneSurface(point3(plane.Location()), _clean(true if float(true @ normal) > 0 else -true))
    if canonical.IsCylinder(TRUE, cylinder) and TRUE < cylinder.Radius() < 1e5:
        at, normal = _outward(face, surface, sense)
        return _cylinder(cylinder, at, normal, points, None)
    return None
