"""STEP files drawn for tests: solids with true arcs and cut ends, placed, named, in any unit. The kernel is imported when used."""

from __future__ import annotations

import io
import math
from collections.abc import Sequence
from typing import Any

from inventory.shapes import Point2
from solver.weldment import Part

SPAN = 1e5


def wire(corners: Sequence[Point2], radii: Sequence[float]) -> Any:
    """Return a closed wire in the (u, v) plane, each corner rounded by its radius."""
    from OCP.BRepBuilderAPI import BRepBuilderAPI_MakeEdge, BRepBuilderAPI_MakeWire
    from OCP.GC import GC_MakeArcOfCircle
    from OCP.gp import gp_Pnt

    count = len(corners)
    ends = []
    for k in range(count):
        (ax, ay), (bx, by), (cx, cy) = corners[k - 1], corners[k], corners[(k + 1) % count]
        a, c = math.atan2(ay - by, ax - bx), math.atan2(cy - by, cx - bx)
        half = abs((c - a + math.pi) % (2 * math.pi) - math.pi) / 2
        back = radii[k] / math.tan(half) if radii[k] else 0.0
        start, end = (bx + back * math.cos(a), by + back * math.sin(a)), (bx + back * math.cos(c), by + back * math.sin(c))
        middle = a + ((c - a + math.pi) % (2 * math.pi) - math.pi) / 2
        away = radii[k] / math.sin(half) - radii[k]
        ends.append((start, (bx + away * math.cos(middle), by + away * math.sin(middle)), end))
    made = BRepBuilderAPI_MakeWire()
    for k in range(count):
        start, between, end = (gp_Pnt(x, y, 0) for x, y in ends[k])
        if radii[k]:
            made.Add(BRepBuilderAPI_MakeEdge(GC_MakeArcOfCircle(start, between, end).Value()).Edge())
        following = gp_Pnt(*ends[(k + 1) % count][0], 0)
        if end.Distance(following) > 1e-7:
            made.Add(BRepBuilderAPI_MakeEdge(end, following).Edge())
    return made.Wire()


def circle(diameter: float, at: Point2 = (0.0, 0.0)) -> Any:
    """Return a round wire in the (u, v) plane."""
    from OCP.BRepBuilderAPI import BRepBuilderAPI_MakeEdge, BRepBuilderAPI_MakeWire
    from OCP.gp import gp_Ax2, gp_Circ, gp_Dir, gp_Pnt

    round_edge = gp_Circ(gp_Ax2(gp_Pnt(*at, 0), gp_Dir(0, 0, 1)), diameter / 2)
    return BRepBuilderAPI_MakeWire(BRepBuilderAPI_MakeEdge(round_edge).Edge()).Wire()


def extruded(outer: Any, inner: Sequence[Any] = (), length: float = 100.0) -> Any:
    """Return a wire with others inside it, extruded along w."""
    from OCP.BRepBuilderAPI import BRepBuilderAPI_MakeFace
    from OCP.BRepPrimAPI import BRepPrimAPI_MakePrism
    from OCP.gp import gp_Vec
    from OCP.TopoDS import TopoDS

    face = BRepBuilderAPI_MakeFace(outer, True)
    for hole in inner:
        face.Add(TopoDS.Wire(hole.Reversed()))
    return BRepPrimAPI_MakePrism(face.Face(), gp_Vec(0, 0, length)).Shape()


def box_wire(width: float, height: float, radius: float) -> Any:
    u, v = width / 2, height / 2
    return wire([(-u, -v), (u, -v), (u, v), (-u, v)], [radius] * 4)


def drawn(part: Part, *, inside_radius: float | None = None) -> Any:
    """Return a part as a solid with true arcs where it stands."""
    section, sizes = part.section, part.section.sizes
    if section.round:
        inner = [circle(sizes["diameter"] - 2 * sizes["wall"])] if section.hollow else []
        solid = extruded(circle(sizes["diameter"]), inner, part.length)
    elif section.hollow:
        assert section.box is not None
        (width, height), wall, radius = section.box, sizes["wall"], section.outside_radius
        inside = max(0.0, radius - wall) if inside_radius is None else inside_radius
        hollow = box_wire(width - 2 * wall, height - 2 * wall, inside)
        solid = extruded(box_wire(width, height, radius), [hollow], part.length)
    else:
        rings = [wire(ring, [0.0] * len(ring)) for ring in (section.outline, *section.cutouts)]
        solid = extruded(rings[0], rings[1:], part.length)
    for cut in part.cuts:
        solid = cut_off(solid, cut.point, cut.normal)
    return moved(solid, part.pose.frame())


def cut_off(solid: Any, point: Sequence[float], normal: Sequence[float]) -> Any:
    """Return what is left of a solid behind a plane."""
    from OCP.BRepAlgoAPI import BRepAlgoAPI_Cut
    from OCP.BRepPrimAPI import BRepPrimAPI_MakeBox
    from OCP.gp import gp_Ax2, gp_Dir, gp_Pnt

    size = 4000.0
    frame = gp_Ax2(gp_Pnt(*point), gp_Dir(*normal))
    x, y = frame.XDirection(), frame.YDirection()
    corner = gp_Pnt(
        *(p - size / 2 * (a + b) for p, a, b in zip(point, (x.X(), x.Y(), x.Z()), (y.X(), y.Y(), y.Z()), strict=True))
    )
    return BRepAlgoAPI_Cut(solid, BRepPrimAPI_MakeBox(gp_Ax2(corner, gp_Dir(*normal), x), size, size, size).Shape()).Shape()


def moved(solid: Any, frame: Any) -> Any:
    """Return a solid moved, or mirrored, by a 4x4 frame."""
    from OCP.BRepBuilderAPI import BRepBuilderAPI_Transform

    return BRepBuilderAPI_Transform(solid, transform(frame), True).Shape()


def transform(frame: Any) -> Any:
    """Return a 4x4 frame as the kernel's."""
    from OCP.gp import gp_Trsf

    made = gp_Trsf()
    made.SetValues(*(float(value) for row in frame[:3] for value in row))
    return made


def step(shapes: Sequence[tuple[str, Any]], *, assembly: str = "", unit: str = "MM", schema: str = "AP214IS") -> bytes:
    """Return a STEP file of named solids, each its own product, in one assembly if that has a name."""
    from OCP.Interface import Interface_Static
    from OCP.Message import Message
    from OCP.STEPCAFControl import STEPCAFControl_Writer
    from OCP.TCollection import TCollection_ExtendedString
    from OCP.TDataStd import TDataStd_Name
    from OCP.TDocStd import TDocStd_Document
    from OCP.TopLoc import TopLoc_Location
    from OCP.XCAFDoc import XCAFDoc_DocumentTool

    messenger = Message.DefaultMessenger_s()
    for printer in list(messenger.Printers()):
        messenger.RemovePrinter(printer)
    writer = STEPCAFControl_Writer()
    Interface_Static.SetCVal_s("write.step.unit", unit)
    Interface_Static.SetCVal_s("write.step.schema", schema)
    document = TDocStd_Document(TCollection_ExtendedString("XmlXCAF"))
    tool = XCAFDoc_DocumentTool.ShapeTool_s(document.Main())
    top = tool.NewShape() if assembly else None
    if top is not None:
        TDataStd_Name.Set_s(top, TCollection_ExtendedString(assembly, True))
    for name, shape in shapes:
        label = tool.AddShape(shape, False)
        TDataStd_Name.Set_s(label, TCollection_ExtendedString(name, True))
        if top is not None:
            tool.AddComponent(top, label, TopLoc_Location())
    tool.UpdateAssemblies()
    writer.Transfer(document)
    stream = io.BytesIO()
    writer.WriteStream(stream)
    Interface_Static.SetCVal_s("write.step.unit", "MM")
    Interface_Static.SetCVal_s("write.step.schema", "AP214IS")
    return stream.getvalue()
