"""Edges of a STEP file's solids as plain values."""

from __future__ import annotations

import math
from typing import Any

from inventory.shapes import Point3
from solver.recognition import ArcEdge, FreeEdge, StraightEdge

SAMPLES = 128
"""Points on an edge that is neither straight nor circular, beside its start; of an ellipse all round."""
ENDLESS = 1e9
"""Parameters beyond this have no end."""


def point3(point: Any) -> Point3:
    """Return a point or direction as numbers."""
    return point.X(), point.Y(), point.Z()


def drawn_edge(edge: Any) -> StraightEdge | ArcEdge | FreeEdge | None:
    """Return an edge (TopoDS_Edge); None if it is a point only."""
    from OCP.BRep import BRep_Tool
    from OCP.BRepAdaptor import BRepAdaptor_Curve
    from OCP.GeomAbs import GeomAbs_CurveType

    if BRep_Tool.Degenerated_s(edge):
        return None
    curve = BRepAdaptor_Curve(edge)
    first, last = curve.FirstParameter(), curve.LastParameter()
    if not (abs(first) < ENDLESS and abs(last) < ENDLESS):
        return None
    kind = curve.GetType()
    if kind == GeomAbs_CurveType.GeomAbs_Line:
        return StraightEdge(point3(curve.Value(first)), point3(curve.Value(last)))
    if kind == GeomAbs_CurveType.GeomAbs_Circle:
        circle = curve.Circle()
        # A mirrored circle runs left-handed about the axis that it names, so the axis is taken from how it runs.
        axis = circle.XAxis().Direction().Crossed(circle.YAxis().Direction())
        return ArcEdge(point3(circle.Location()), point3(axis), point3(curve.Value(first)), last - first)
    conic = kind in (GeomAbs_CurveType.GeomAbs_Ellipse, GeomAbs_CurveType.GeomAbs_Parabola, GeomAbs_CurveType.GeomAbs_Hyperbola)
    count = min(SAMPLES, 8 + math.ceil(SAMPLES * (last - first) / (2 * math.pi))) if conic else SAMPLES
    steps = (first + (last - first) * k / count for k in range(count + 1))
    return FreeEdge(tuple(point3(curve.Value(step)) for step in steps))
