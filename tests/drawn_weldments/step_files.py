"""Drawn weldments written as STEP files, as programs that draw write them: true arcs, cylinders, products placed in products.

Written from sizes alone: neither the outlines of `solver.sections` nor any writer of the service has a part in it, so that what
reads these files and what writes the service's own do not make the same mistake twice.
"""

from __future__ import annotations

import io
import math
from collections.abc import Callable, Iterator, Sequence
from itertools import pairwise
from typing import Any

import numpy as np

from inventory.shapes import Array
from tests.drawn_weldments.drawn_weldment import Bent, DrawnPart, DrawnWeldment, Product, arc_of

Outline = tuple[Bent, ...]
QUARTER = math.tan(math.radians(22.5))


def step_file(weldment: DrawnWeldment) -> bytes:
    """Return a drawn weldment as the STEP file it is kept in."""
    from OCP.IFSelect import IFSelect_RetDone
    from OCP.Interface import Interface_Static
    from OCP.Message import Message
    from OCP.STEPCAFControl import STEPCAFControl_Writer
    from OCP.STEPControl import STEPControl_AsIs

    Message.DefaultMessenger_s().ChangePrinters().Clear()
    writer = STEPCAFControl_Writer()  # makes the settings known
    usual = {"write.step.schema": "AP214IS", "write.step.unit": "MM"}
    asked: tuple[str, str] = weldment.schema, weldment.unit
    for setting, value in zip(usual, asked, strict=True):
        assert Interface_Static.SetCVal_s(setting, value)
    try:
        writer = STEPCAFControl_Writer()
        assert writer.Transfer(_loose(weldment) if weldment.loose else _document(weldment.product), STEPControl_AsIs)
        stream = io.BytesIO()
        assert writer.WriteStream(stream) == IFSelect_RetDone
    finally:
        for setting, value in usual.items():
            Interface_Static.SetCVal_s(setting, value)
    return stream.getvalue()


def _new_document() -> tuple[Any, Any]:
    from OCP.TCollection import TCollection_ExtendedString
    from OCP.TDocStd import TDocStd_Document
    from OCP.XCAFDoc import XCAFDoc_DocumentTool

    document = TDocStd_Document(TCollection_ExtendedString("MDTV-XCAF"))
    XCAFDoc_DocumentTool.SetLengthUnit_s(document, 0.001)
    return document, XCAFDoc_DocumentTool.ShapeTool_s(document.Main())


def _document(product: Product) -> Any:
    """Return the document of a product: an assembly of its parts, each in a section's own frame, and of its members."""
    document, shapes = _new_document()
    labels: dict[int, Any] = {}

    def label_of(one: Product) -> Any:
        if id(one) in labels:
            return labels[id(one)]
        assembly = labels[id(one)] = shapes.NewShape()
        _name(assembly, one.name)
        for drawn in one.parts:
            part = shapes.AddShape(solid_of(drawn), False)
            _name(part, drawn.name)
            _name(shapes.AddComponent(assembly, part, _location(drawn.part.pose.frame())), drawn.name)
        for placed in one.members:
            _name(shapes.AddComponent(assembly, label_of(placed.product), _location(placed.frame)), placed.name)
        return assembly

    label_of(product)
    shapes.UpdateAssemblies()
    return document


def _loose(weldment: DrawnWeldment) -> Any:
    """Return the document of one product with all solids side by side, each where it lies."""
    from OCP.BRep import BRep_Builder
    from OCP.BRepBuilderAPI import BRepBuilderAPI_Transform
    from OCP.TopoDS import TopoDS_Compound

    document, shapes = _new_document()
    found, builder = TopoDS_Compound(), BRep_Builder()
    builder.MakeCompound(found)
    for drawn in weldment.drawn:
        builder.Add(found, BRepBuilderAPI_Transform(solid_of(drawn), _transform(drawn.part.pose.frame()), True).Shape())
    _name(shapes.AddShape(found, False), weldment.name)
    return document


def _name(label: Any, name: str) -> None:
    from OCP.TCollection import TCollection_ExtendedString
    from OCP.TDataStd import TDataStd_Name

    TDataStd_Name.Set_s(label, TCollection_ExtendedString(name, True))


def _location(frame: Array) -> Any:
    from OCP.TopLoc import TopLoc_Location

    return TopLoc_Location(_transform(frame))


def _transform(frame: Array) -> Any:
    from OCP.gp import gp_Trsf

    found = gp_Trsf()
    found.SetValues(*(float(value) for value in frame[:3].ravel()))
    return found


# --- solids -------------------------------------------------------------------------------------------------------------


def solid_of(drawn: DrawnPart) -> Any:
    """Return a part as a solid in its section's frame, its ends cut."""
    from OCP.BRepBuilderAPI import BRepBuilderAPI_MakeFace
    from OCP.BRepPrimAPI import BRepPrimAPI_MakePrism
    from OCP.gp import gp_Ax3, gp_Dir, gp_Pln, gp_Pnt, gp_Vec

    outer, inner = rings_of(drawn)
    plane = gp_Pln(gp_Ax3(gp_Pnt(0.0, 0.0, 0.0), gp_Dir(0.0, 0.0, 1.0), gp_Dir(1.0, 0.0, 0.0)))
    face = BRepBuilderAPI_MakeFace(plane, _wire(outer), True)
    for ring in inner:
        face.Add(_wire(_reversed(ring)))
    shape = BRepPrimAPI_MakePrism(face.Face(), gp_Vec(0.0, 0.0, drawn.part.length)).Shape()
    for cut in drawn.part.cuts:
        shape = _cut(shape, np.array(cut.point), np.array(cut.normal))
    (solid,) = solids_in(shape)
    return solid


def solids_in(shape: Any) -> Iterator[Any]:
    """Yield the solids of a shape."""
    from OCP.TopAbs import TopAbs_SOLID
    from OCP.TopExp import TopExp_Explorer

    found = TopExp_Explorer(shape, TopAbs_SOLID)
    while found.More():
        yield found.Current()
        found.Next()


def _cut(shape: Any, point: Array, normal: Array) -> Any:
    """Return a shape without what lies beyond a plane."""
    from OCP.BRepAlgoAPI import BRepAlgoAPI_Cut
    from OCP.BRepBuilderAPI import BRepBuilderAPI_MakeFace
    from OCP.BRepPrimAPI import BRepPrimAPI_MakeHalfSpace
    from OCP.gp import gp_Dir, gp_Pln, gp_Pnt

    face = BRepBuilderAPI_MakeFace(gp_Pln(gp_Pnt(*point.tolist()), gp_Dir(*normal.tolist()))).Face()
    return BRepAlgoAPI_Cut(shape, BRepPrimAPI_MakeHalfSpace(face, gp_Pnt(*(point + normal).tolist())).Solid()).Shape()


def _wire(ring: Outline) -> Any:
    from OCP.BRepBuilderAPI import BRepBuilderAPI_MakeEdge, BRepBuilderAPI_MakeWire
    from OCP.GC import GC_MakeArcOfCircle
    from OCP.gp import gp_Pnt

    wire = BRepBuilderAPI_MakeWire()
    for (u, v, bend), (end_u, end_v, _) in pairwise((*ring, ring[0])):
        start, end = gp_Pnt(u, v, 0.0), gp_Pnt(end_u, end_v, 0.0)
        if not bend:
            wire.Add(BRepBuilderAPI_MakeEdge(start, end).Edge())
            continue
        centre, radius, first, sweep = arc_of((u, v), (end_u, end_v), bend)
        middle = first + sweep / 2
        over = gp_Pnt(centre[0] + radius * math.cos(middle), centre[1] + radius * math.sin(middle), 0.0)
        wire.Add(BRepBuilderAPI_MakeEdge(GC_MakeArcOfCircle(start, over, end).Value()).Edge())
    return wire.Wire()


def _reversed(ring: Outline) -> Outline:
    """Return a ring the other way round; a bend belongs to the side after its corner."""
    corners = [(u, v) for u, v, _ in reversed(ring)]
    bends = [bend for _, _, bend in reversed(ring)]
    return tuple((u, v, -bend) for (u, v), bend in zip(corners, (*bends[1:], bends[0]), strict=True))


# --- sections -----------------------------------------------------------------------------------------------------------


def rings_of(drawn: DrawnPart) -> tuple[Outline, tuple[Outline, ...]]:
    """Return a part's true outline and cut-outs, counter-clockwise."""
    if drawn.bends:
        return drawn.outline, drawn.cutouts
    section = drawn.part.section
    if section.shape == "plate":
        return _straight(section.plate_outline), tuple(map(_straight, section.plate_cutouts))
    return _RINGS[section.shape](section.sizes)


def _straight(ring: Sequence[tuple[float, float]]) -> Outline:
    return tuple((u, v, 0.0) for u, v in ring)


def _box(width: float, height: float, radius: float) -> Outline:
    u, v = width / 2, height / 2
    if radius <= 0:
        return _straight(((u, -v), (u, v), (-u, v), (-u, -v)))
    return (
        (u, radius - v, 0), (u, v - radius, QUARTER), (u - radius, v, 0), (radius - u, v, QUARTER),
        (-u, v - radius, 0), (-u, radius - v, QUARTER), (radius - u, -v, 0), (u - radius, -v, QUARTER),
    )  # fmt: skip


def _tube(sizes: dict[str, float]) -> tuple[Outline, tuple[Outline, ...]]:
    width, wall = sizes["width"], sizes["wall"]
    height = sizes.get("height", width)
    cold_formed = 2.0 if wall <= 6 else 2.5 if wall <= 10 else 3.0  # EN 10219-2, table for calculations
    radius = sizes.get("corner_radius", cold_formed * wall)
    return _box(width, height, radius), (_box(width - 2 * wall, height - 2 * wall, radius - wall),)


def _circle(diameter: float) -> Outline:
    return (diameter / 2, 0.0, 1.0), (-diameter / 2, 0.0, 1.0)


def _angle(sizes: dict[str, float]) -> tuple[Outline, tuple[Outline, ...]]:
    a, b, t = sizes["leg_a"], sizes["leg_b"], sizes["thickness"]
    return _straight(((0, 0), (a, 0), (a, t), (t, t), (t, b), (0, b))), ()


def _channel(sizes: dict[str, float]) -> tuple[Outline, tuple[Outline, ...]]:
    half, flange, web, t = sizes["height"] / 2, sizes["flange"], sizes["web"], sizes["flange_thickness"]
    corners = ((0, -half), (flange, -half), (flange, t - half), (web, t - half))
    return _straight((*corners, *((u, -v) for u, v in reversed(corners)))), ()


_RINGS: dict[str, Callable[[Any], tuple[Outline, tuple[Outline, ...]]]] = {
    "square_tube": _tube,
    "rect_tube": _tube,
    "round_tube": lambda sizes: (_circle(sizes["diameter"]), (_circle(sizes["diameter"] - 2 * sizes["wall"]),)),
    "round_bar": lambda sizes: (_circle(sizes["diameter"]), ()),
    "angle": _angle,
    "channel": _channel,
    "flat_bar": lambda sizes: (_box(sizes["width"], sizes["thickness"], 0), ()),
}
