"""The solids of a STEP file where they stand: assemblies flattened, with placements and names."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from io import BytesIO
from typing import Any

from inventory.errors import Fault, InvalidDocument
from service.exchange.weldments.step.header import MOST_SOLIDS
from service.exchange.weldments.step.solid_boundaries import each

VISITS = 20_000
"""Products that are looked into, assemblies among them, each as often as it is placed."""
DEEPEST = 64
"""Assemblies within assemblies, at most."""


@dataclass(frozen=True)
class Occurrence:
    """One solid where it stands (TopoDS_Solid), by its name with the assemblies it lies in, ``frame/post``."""

    name: str
    solid: Any


@dataclass(frozen=True)
class Placed:
    """What a STEP file places.

    Parameters
    ----------
    name : str
        Of the one thing at its top; empty if there are several.
    solids : tuple of Occurrence
        Every solid, as often as it is placed.
    open_shapes : tuple of (name, faces)
        Where faces are drawn that enclose no solid, and how many.
    units : tuple of str
        What the file says its lengths are in, by its own words.
    """

    name: str
    solids: tuple[Occurrence, ...]
    open_shapes: tuple[tuple[str, int], ...]
    units: tuple[str, ...]


def placed(content: bytes) -> Placed:
    """Return what a STEP file places, all lengths mm; raises InvalidDocument if nothing can be made of it."""
    from OCP.collections import Sequence_TCollection_AsciiString, Sequence_TDF_Label
    from OCP.IFSelect import IFSelect_ReturnStatus
    from OCP.STEPCAFControl import STEPCAFControl_Reader
    from OCP.TCollection import TCollection_ExtendedString
    from OCP.TDocStd import TDocStd_Document
    from OCP.XCAFDoc import XCAFDoc_DocumentTool

    with _silence():
        reader = STEPCAFControl_Reader()
        reader.SetNameMode(True)
        for setting in (reader.SetColorMode, reader.SetLayerMode, reader.SetPropsMode, reader.SetGDTMode, reader.SetMatMode):
            setting(False)
        reader.SetViewMode(False)
        if reader.ReadStream("weldment.step", BytesIO(content)) != IFSelect_ReturnStatus.IFSelect_RetDone:
            raise InvalidDocument([Fault("/data", "the file's entities cannot be read", "a whole STEP file (ISO 10303-21)")])
        document = TDocStd_Document(TCollection_ExtendedString("XmlXCAF"))
        if not reader.Transfer(document):
            raise InvalidDocument([Fault("/data", "the file has no shapes that could be made", "a STEP file with solids")])
        lengths, angles, solid_angles = (Sequence_TCollection_AsciiString() for _ in range(3))
        reader.ChangeReader().FileUnits(lengths, angles, solid_angles)
        tool = XCAFDoc_DocumentTool.ShapeTool_s(document.Main())
        tops = Sequence_TDF_Label()
        tool.GetFreeShapes(tops)
        walk = _Walk()
        for label in _numbered(tops):
            walk.visit(label, "", None)
    names = [_name(label) for label in _numbered(tops)]
    units = tuple(unit.ToCString() for unit in _numbered(lengths))
    return Placed(names[0] if len(names) == 1 else "", tuple(walk.solids), tuple(walk.open_shapes), units)


@contextmanager
def _silence() -> Iterator[None]:
    """Keep the drawing kernel from printing what it is doing: its messengers lose their printers meanwhile."""
    from OCP.Message import Message

    messenger = Message.DefaultMessenger_s()
    printers = list(messenger.Printers())
    for printer in printers:
        messenger.RemovePrinter(printer)
    try:
        yield
    finally:
        for printer in printers:
            messenger.AddPrinter(printer)


class _Walk:
    """Walks down assemblies and collects solids with their names."""

    def __init__(self) -> None:
        self.solids: list[Occurrence] = []
        self.open_shapes: list[tuple[str, int]] = []
        self.taken: Counter[str] = Counter()
        self.visits = 0

    def visit(self, label: Any, above: str, location: Any, own_name: str = "", depth: int = 0) -> None:
        from OCP.collections import Sequence_TDF_Label
        from OCP.TDF import TDF_Label
        from OCP.XCAFDoc import XCAFDoc_ShapeTool

        self.visits += 1
        if self.visits > VISITS:
            wrong = f"more than {VISITS} products, counting each as often as it is placed"
            raise InvalidDocument([Fault("/data", wrong, f"at most {VISITS} placed products")])
        if depth > DEEPEST:
            raise InvalidDocument(
                [Fault("/data", f"assemblies more than {DEEPEST} deep", f"at most {DEEPEST} within each other")]
            )
        path = self._unique(above, _name(label) or own_name or "solid")
        if XCAFDoc_ShapeTool.IsAssembly_s(label):
            components = Sequence_TDF_Label()
            XCAFDoc_ShapeTool.GetComponents_s(label, components)
            for component in _numbered(components):
                product = TDF_Label()
                if XCAFDoc_ShapeTool.GetReferredShape_s(component, product):
                    place = XCAFDoc_ShapeTool.GetLocation_s(component)
                    within = place if location is None else location.Multiplied(place)
                    self.visit(product, path, within, _name(component), depth + 1)
            return
        self._take(XCAFDoc_ShapeTool.GetShape_s(label), path, location)

    def _take(self, shape: Any, path: str, location: Any) -> None:
        from OCP.TopAbs import TopAbs_ShapeEnum
        from OCP.TopoDS import TopoDS

        if location is not None:
            shape = shape.Moved(location, False)
        solids = [TopoDS.Solid(solid) for solid in each(shape, TopAbs_ShapeEnum.TopAbs_SOLID)]
        for number, solid in enumerate(solids, 1):
            self.solids.append(Occurrence(path if len(solids) == 1 else f"{path}/{number}", solid))
            if len(self.solids) > MOST_SOLIDS:
                wrong = f"more than {MOST_SOLIDS} solids, counting each as often as it is placed"
                raise InvalidDocument([Fault("/data", wrong, f"at most {MOST_SOLIDS} solids in a file")])
        loose = sum(1 for _ in each(shape, TopAbs_ShapeEnum.TopAbs_FACE)) - sum(
            1 for solid in solids for _ in each(solid, TopAbs_ShapeEnum.TopAbs_FACE)
        )
        if loose > 0:
            self.open_shapes.append((path, loose))

    def _unique(self, above: str, name: str) -> str:
        path = f"{above}/{name.replace('/', '_')}" if above else name.replace("/", "_")
        self.taken[path] += 1
        if self.taken[path] == 1:
            return path
        while self.taken[f"{path} {self.taken[path]}"]:
            self.taken[path] += 1
        unique = f"{path} {self.taken[path]}"
        self.taken[unique] += 1
        return unique


def _numbered(sequence: Any) -> list[Any]:
    return [sequence.Value(k) for k in range(1, sequence.Length() + 1)]


def _name(label: Any) -> str:
    """Return the name of a label as printable text, empty if it has none of its own."""
    from OCP.TDataStd import TDataStd_Name

    attribute = TDataStd_Name()
    if not label.FindAttribute(TDataStd_Name.GetID_s(), attribute):
        return ""
    text = attribute.Get().ToExtString()
    text = "".join(c if c.isprintable() else " " for c in text)
    text = " ".join(text.split())[:80]
    return "" if text.startswith("=>[") else text
