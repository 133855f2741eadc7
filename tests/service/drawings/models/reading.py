"""STEP assemblies as another program reads them, with the library of the extra `exchange`."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import Any


def products(content: bytes, folder: Path) -> tuple[str, list[tuple[str, Any, Any]]]:
    """Return the assembly's name, and each product's name, shape and colour, as another program reads them."""
    from OCP.collections import Sequence_TDF_Label
    from OCP.Quantity import Quantity_Color
    from OCP.STEPCAFControl import STEPCAFControl_Reader
    from OCP.TCollection import TCollection_ExtendedString
    from OCP.TDF import TDF_Label
    from OCP.TDocStd import TDocStd_Document
    from OCP.XCAFDoc import XCAFDoc_ColorSurf, XCAFDoc_DocumentTool, XCAFDoc_ShapeTool

    file = folder / "holdwright.step"
    file.write_bytes(content)
    reader = STEPCAFControl_Reader()
    reader.ReadFile(str(file))
    document = TDocStd_Document(TCollection_ExtendedString("MDTV-XCAF"))
    assert reader.Transfer(document)
    shapes, colours = XCAFDoc_DocumentTool.ShapeTool_s(document.Main()), XCAFDoc_DocumentTool.ColorTool_s(document.Main())
    free, parts = Sequence_TDF_Label(), Sequence_TDF_Label()
    shapes.GetFreeShapes(free)
    assert free.Length() == 1
    XCAFDoc_ShapeTool.GetComponents_s(free.Value(1), parts)
    found = []
    for number in range(1, parts.Length() + 1):
        product = TDF_Label()
        XCAFDoc_ShapeTool.GetReferredShape_s(parts.Value(number), product)
        shape = XCAFDoc_ShapeTool.GetShape_s(product)
        colour = Quantity_Color()
        assert all(colours.GetColor(solid, XCAFDoc_ColorSurf, colour) for solid in solids(shape))
        assert _name(product) == _name(parts.Value(number))
        found.append((_name(product), shape, colour))
    return _name(free.Value(1)), found


def _name(label: Any) -> str:
    from OCP.TDataStd import TDataStd_Name

    name = TDataStd_Name()
    assert label.FindAttribute(TDataStd_Name.GetID_s(), name)
    return str(name.Get().ToExtString())


def solids(shape: Any) -> Iterator[Any]:
    from OCP.TopAbs import TopAbs_SOLID
    from OCP.TopExp import TopExp_Explorer

    explorer = TopExp_Explorer(shape, TopAbs_SOLID)
    while explorer.More():
        yield explorer.Current()
        explorer.Next()


def coordinates(point: Any) -> tuple[float, float, float]:
    """Return a point of the library as three numbers, mm."""
    return point.X(), point.Y(), point.Z()


def corners_around(shape: Any) -> tuple[Any, Any]:
    """Return the least and the greatest corner of the box around a shape."""
    from OCP.Bnd import Bnd_Box
    from OCP.BRepBndLib import BRepBndLib

    around = Bnd_Box()
    BRepBndLib.AddOptimal_s(shape, around, False, False)
    return around.CornerMin(), around.CornerMax()


def volume(shape: Any) -> float:
    """Return what a shape encloses, mm3."""
    from OCP.BRepGProp import BRepGProp
    from OCP.GProp import GProp_GProps

    properties = GProp_GProps()
    BRepGProp.VolumeProperties_s(shape, properties, 1e-9)
    return float(properties.Mass())


def cylinder_radii(shape: Any) -> list[float]:
    """Return the radii of a shape's cylindrical faces, mm, in order of size."""
    from OCP.BRepAdaptor import BRepAdaptor_Surface
    from OCP.GeomAbs import GeomAbs_Cylinder
    from OCP.TopAbs import TopAbs_FACE
    from OCP.TopExp import TopExp_Explorer
    from OCP.TopoDS import TopoDS

    found, explorer = [], TopExp_Explorer(shape, TopAbs_FACE)
    while explorer.More():
        surface = BRepAdaptor_Surface(TopoDS.Face(explorer.Current()))
        if surface.GetType() == GeomAbs_Cylinder:
            found.append(float(surface.Cylinder().Radius()))
        explorer.Next()
    return sorted(found)
