"""A solid of a STEP file as a plain boundary: its faces with their edges, and its volume."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Any

import numpy as np

from inventory.shapes import Array, Point3
from service.exchange.weldments.step.drawn_edges import ENDLESS, drawn_edge, point3
from service.exchange.weldments.step.drawn_surfaces import drawn_surface
from solver.recognition import DrawnFace, FreeEdge, FreeSurface, SolidBoundary

EXACT = 1e-5
"""By fixed points alone, the volume under free forms would be a percent off."""
NET = 24
"""A face that is neither flat nor round is looked at by a net of so many stretches each way."""


def each(shape: Any, kind: Any) -> Iterator[Any]:
    """Yield the parts of one kind (TopAbs_ShapeEnum) of a shape, each as often as it is used."""
    from OCP.TopExp import TopExp_Explorer

    explorer = TopExp_Explorer(shape, kind)
    while explorer.More():
        yield explorer.Current()
        explorer.Next()


def drawn_box(solid: Any) -> tuple[Point3, Point3] | None:
    """Return the least and greatest x, y and z of a solid, mm; None if it has none."""
    from OCP.Bnd import Bnd_Box
    from OCP.BRepBndLib import BRepBndLib

    box = Bnd_Box()
    BRepBndLib.AddOptimal_s(solid, box, False, False)
    if box.IsVoid():
        return None
    low, high = ([round(number, 3) for number in point3(corner)] for corner in (box.CornerMin(), box.CornerMax()))
    return (low[0], low[1], low[2]), (high[0], high[1], high[2])


def solid_boundary(solid: Any) -> SolidBoundary:
    """Return a solid (TopoDS_Solid) as a boundary; one that is drawn inside out is turned."""
    from OCP.TopAbs import TopAbs_ShapeEnum
    from OCP.TopoDS import TopoDS

    faces = [TopoDS.Face(face) for face in each(solid, TopAbs_ShapeEnum.TopAbs_FACE)]
    volume = _volume(solid, faces)
    sense = -1.0 if volume < 0 else 1.0
    with np.errstate(all="ignore"):  # places without end come out as such, and are told
        drawn = [_face(number, face, sense) for number, face in enumerate(faces, 1)]
    return SolidBoundary(tuple(face for face, _ in drawn), abs(volume), max((bulge for _, bulge in drawn), default=0.0))


def _volume(solid: Any, faces: Sequence[Any]) -> float:
    """Return the volume of a solid, mm3, negative if it is inside out; free forms to a relative `EXACT`."""
    from OCP.BRepAdaptor import BRepAdaptor_Surface
    from OCP.BRepGProp import BRepGProp
    from OCP.GeomAbs import GeomAbs_SurfaceType
    from OCP.GProp import GProp_GProps

    exact = GeomAbs_SurfaceType.GeomAbs_Plane, GeomAbs_SurfaceType.GeomAbs_Cylinder
    properties = GProp_GProps()
    if all(BRepAdaptor_Surface(face).GetType() in exact for face in faces):
        BRepGProp.VolumeProperties_s(solid, properties)
    else:
        BRepGProp.VolumeProperties_s(solid, properties, EXACT)
    volume: float = properties.Mass()
    return volume


def _face(number: int, face: Any, sense: float) -> tuple[DrawnFace, float]:
    """Return a face, and how far it may lie outside the hull of its points."""
    from OCP.TopAbs import TopAbs_ShapeEnum
    from OCP.TopoDS import TopoDS

    loops, bulge = [], 0.0
    for wire in each(face, TopAbs_ShapeEnum.TopAbs_WIRE):
        edges = (drawn_edge(TopoDS.Edge(edge)) for edge in each(wire, TopAbs_ShapeEnum.TopAbs_EDGE))
        loops.append(tuple(edge for edge in edges if edge is not None))
        bulge = max([bulge, *(_sag(edge.points) for edge in loops[-1] if isinstance(edge, FreeEdge))])
    points = [(float(x), float(y), float(z)) for loop in loops for edge in loop for x, y, z in edge.points]
    surface = drawn_surface(face, sense, points)
    if not isinstance(surface, FreeSurface):
        return DrawnFace(number, surface, tuple(loops)), bulge
    net = _net(face)
    inside = tuple((float(x), float(y), float(z)) for x, y, z in net.reshape(-1, 3))
    return DrawnFace(number, surface, tuple(loops), inside), max(bulge, _sag(net) + _sag(net.swapaxes(0, 1)))


def _net(face: Any) -> Array:
    """Return a net of points (n, n, 3) over a face's parameters; those beyond its edges lie on the same surface."""
    from OCP.BRepAdaptor import BRepAdaptor_Surface

    surface = BRepAdaptor_Surface(face)
    ends = surface.FirstUParameter(), surface.LastUParameter(), surface.FirstVParameter(), surface.LastVParameter()
    if not all(abs(end) < ENDLESS for end in ends):
        return np.zeros((0, 0, 3))
    u, v = np.linspace(ends[0], ends[1], NET + 1), np.linspace(ends[2], ends[3], NET + 1)
    return np.array([[point3(surface.Value(float(a), float(b))) for b in v] for a in u])


def _sag(points: Array) -> float:
    """Return how far a curve may stray from the straight lines between its points (n, ..., 3), mm: twice what a parabola does."""
    if len(points) < 3:
        return 0.0
    bends = points[2:] - 2 * points[1:-1] + points[:-2]
    return float(np.sqrt((bends**2).sum(axis=-1)).max()) / 4
