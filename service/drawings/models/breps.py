"""Bodies as exact boundary representations, with the library the extra `exchange` brings; it is imported when one is made."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator
from itertools import chain
from typing import Any

from inventory.shapes import PlaneCut
from service.drawings.models.curved_solids import CurvedCorner, CurvedRing, CurvedSolid, centre_and_radius, is_circle, sides


def compound(solids: Iterable[CurvedSolid]) -> Any:
    """Return some bodies in one shape, each where its frame puts it."""
    from OCP.BRep import BRep_Builder
    from OCP.TopoDS import TopoDS_Compound

    found, builder = TopoDS_Compound(), BRep_Builder()
    builder.MakeCompound(found)
    for solid in chain.from_iterable(map(_bodies, solids)):
        builder.Add(found, solid)
    return found


def _bodies(solid: CurvedSolid) -> Iterator[Any]:
    """Yield what a body's cuts leave of it: one solid, rarely more."""
    from OCP.BRepBuilderAPI import BRepBuilderAPI_Transform
    from OCP.gp import gp_Trsf
    from OCP.TopAbs import TopAbs_SOLID
    from OCP.TopExp import TopExp_Explorer

    shape = _extruded(solid)
    for cut in solid.cuts:
        shape = _without(shape, cut)
    frame = gp_Trsf()
    frame.SetValues(*(value for row in solid.frame[:3] for value in row))
    found = TopExp_Explorer(BRepBuilderAPI_Transform(shape, frame, True).Shape(), TopAbs_SOLID)
    while found.More():
        yield found.Current()
        found.Next()


def _extruded(solid: CurvedSolid) -> Any:
    from OCP.BRepBuilderAPI import BRepBuilderAPI_MakeFace
    from OCP.BRepPrimAPI import BRepPrimAPI_MakePrism
    from OCP.gp import gp_Dir, gp_Pln, gp_Pnt, gp_Vec
    from OCP.TopoDS import TopoDS

    outline, *cutouts = solid.rings
    plane = gp_Pln(gp_Pnt(0.0, 0.0, solid.start), gp_Dir(0.0, 0.0, 1.0))
    face = BRepBuilderAPI_MakeFace(plane, _wire(outline, solid.start), True)
    for ring in cutouts:
        face.Add(TopoDS.Wire(_wire(ring, solid.start).Reversed()))
    return BRepPrimAPI_MakePrism(face.Face(), gp_Vec(0.0, 0.0, solid.end - solid.start)).Shape()


def _wire(ring: CurvedRing, height: float) -> Any:
    """Return a counter-clockwise ring as a wire; a circle has one edge."""
    from OCP.BRepBuilderAPI import BRepBuilderAPI_MakeEdge, BRepBuilderAPI_MakeVertex, BRepBuilderAPI_MakeWire
    from OCP.gp import gp_Pnt

    wire = BRepBuilderAPI_MakeWire()
    if is_circle(ring):
        wire.Add(BRepBuilderAPI_MakeEdge(_circle(ring[0], ring[1], height)).Edge())
        return wire.Wire()
    corners = [BRepBuilderAPI_MakeVertex(gp_Pnt(u, v, height)).Vertex() for u, v, _ in ring]
    for (start, end), first, last in zip(sides(ring), corners, (*corners[1:], corners[0]), strict=True):
        arc = (_circle(start, end, height),) if start[2] else ()
        wire.Add(BRepBuilderAPI_MakeEdge(*arc, first, last).Edge())
    return wire.Wire()


def _circle(start: CurvedCorner, end: CurvedCorner, height: float) -> Any:
    """Return the circle of which one side of a ring is a part, run through as the side is."""
    from OCP.gp import gp_Ax2, gp_Circ, gp_Dir, gp_Pnt

    middle, radius = centre_and_radius(start, end)
    return gp_Circ(gp_Ax2(gp_Pnt(*middle, height), gp_Dir(0.0, 0.0, math.copysign(1.0, start[2]))), radius)


def _without(shape: Any, cut: PlaneCut) -> Any:
    """Return a shape without the half space beyond a cut."""
    from OCP.BRepAlgoAPI import BRepAlgoAPI_Cut
    from OCP.BRepBuilderAPI import BRepBuilderAPI_MakeFace
    from OCP.BRepPrimAPI import BRepPrimAPI_MakeHalfSpace
    from OCP.gp import gp_Dir, gp_Pln, gp_Pnt

    beyond = gp_Pnt(*(p + n for p, n in zip(cut.point, cut.normal, strict=True)))
    face = BRepBuilderAPI_MakeFace(gp_Pln(gp_Pnt(*cut.point), gp_Dir(*cut.normal))).Face()
    return BRepAlgoAPI_Cut(shape, BRepPrimAPI_MakeHalfSpace(face, beyond).Solid()).Shape()
