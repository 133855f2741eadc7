"""Prisms as exact boundary representations, with the library the extra `exchange` brings; it is imported when one is made."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from itertools import chain
from typing import Any

from inventory.shapes import PlaneCut, Prism, Ring


def compound(solids: Iterable[Prism]) -> Any:
    """Return the bodies of some prisms in one shape, each where its frame puts it."""
    from OCP.BRep import BRep_Builder
    from OCP.TopoDS import TopoDS_Compound

    found, builder = TopoDS_Compound(), BRep_Builder()
    builder.MakeCompound(found)
    for solid in chain.from_iterable(map(_bodies, solids)):
        builder.Add(found, solid)
    return found


def _bodies(prism: Prism) -> Iterator[Any]:
    """Yield what a prism's cuts leave of it: one solid, rarely more."""
    from OCP.BRepBuilderAPI import BRepBuilderAPI_Transform
    from OCP.gp import gp_Trsf
    from OCP.TopAbs import TopAbs_SOLID
    from OCP.TopExp import TopExp_Explorer

    shape = _extruded(prism)
    for cut in prism.cuts:
        shape = _without(shape, cut)
    frame = gp_Trsf()
    frame.SetValues(*(value for row in prism.frame[:3] for value in row))
    found = TopExp_Explorer(BRepBuilderAPI_Transform(shape, frame, True).Shape(), TopAbs_SOLID)
    while found.More():
        yield found.Current()
        found.Next()


def _extruded(prism: Prism) -> Any:
    from OCP.BRepBuilderAPI import BRepBuilderAPI_MakeFace
    from OCP.BRepPrimAPI import BRepPrimAPI_MakePrism
    from OCP.gp import gp_Dir, gp_Pln, gp_Pnt, gp_Vec

    plane = gp_Pln(gp_Pnt(0.0, 0.0, prism.start), gp_Dir(0.0, 0.0, 1.0))
    face = BRepBuilderAPI_MakeFace(plane, _wire(prism.outline, prism.start, inside=True), True)
    for ring in prism.cutouts:
        face.Add(_wire(ring, prism.start, inside=False))
    return BRepPrimAPI_MakePrism(face.Face(), gp_Vec(0.0, 0.0, prism.end - prism.start)).Shape()


def _wire(ring: Ring, height: float, inside: bool) -> Any:
    """Return a ring as a wire: counter-clockwise if the face lies inside it, clockwise if outside."""
    from OCP.BRepBuilderAPI import BRepBuilderAPI_MakePolygon
    from OCP.gp import gp_Pnt

    twice = sum(ax * by - bx * ay for (ax, ay), (bx, by) in zip(ring, (*ring[1:], ring[0]), strict=True))
    polygon = BRepBuilderAPI_MakePolygon()
    for x, y in ring if (twice > 0) == inside else reversed(ring):
        polygon.Add(gp_Pnt(x, y, height))
    polygon.Close()
    return polygon.Wire()


def _without(shape: Any, cut: PlaneCut) -> Any:
    """Return a shape without the half space beyond a cut."""
    from OCP.BRepAlgoAPI import BRepAlgoAPI_Cut
    from OCP.BRepBuilderAPI import BRepBuilderAPI_MakeFace
    from OCP.BRepPrimAPI import BRepPrimAPI_MakeHalfSpace
    from OCP.gp import gp_Dir, gp_Pln, gp_Pnt

    beyond = gp_Pnt(*(p + n for p, n in zip(cut.point, cut.normal, strict=True)))
    face = BRepBuilderAPI_MakeFace(gp_Pln(gp_Pnt(*cut.point), gp_Dir(*cut.normal))).Face()
    return BRepAlgoAPI_Cut(shape, BRepPrimAPI_MakeHalfSpace(face, beyond).Solid()).Shape()
