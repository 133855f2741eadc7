"""The plan as an assembly for programs of construction: STEP (ISO 10303-21, AP214), millimetres, faces exact.

A product for the table's slab, each part and each piece, named by its id, with the solids of the plan where they are; round
tubes and pins are cylinders, and the corners of tubes have their radii. The
library (OCP) is an extra, `holdwright[exchange]`; it is imported when a file is written.
"""

from __future__ import annotations

import io
import re
from collections.abc import Iterator, Sequence
from typing import Any

from service.drawings.models.bodies import FILLS, ModelBody, bodies
from service.drawings.models.breps import compound
from service.drawings.subject import Subject
from service.errors import NotInstalled
from service.palette import rgb

LIBRARY = "OCP"
_MARK = "NAME"


def as_step(subject: Subject) -> bytes:
    """Return the assembly of one alternative as a file.

    Raises
    ------
    NotInstalled
        If the library is not there.
    """
    shown = tuple(body for body in bodies(subject) if body.material != "weld")
    return step_of(subject.request.weldment.name or "weldment", shown, "welding fixture")


def step_of(name: str, shown: Sequence[ModelBody], what: str) -> bytes:
    """Return bodies, each under a name of its own, as an assembly with a name; the file's header says what it is.

    Raises
    ------
    NotInstalled
        If the library is not there.
    """
    try:
        import OCP  # noqa: F401
    except ImportError:
        raise NotInstalled("STEP files", "exchange") from None
    names = (name, *(body.name for body in shown))
    text = _file(_document(shown), shown, what).decode("ascii")
    return re.sub(rf"'{_MARK}(\d+)'", lambda found: written(names[int(found[1])]), text).encode("ascii")


def written(name: str) -> str:
    r"""Return a text as a STEP file has it, quoted (ISO 10303-21, strings): letters beyond ASCII by their numbers."""
    quoted = name.replace("\\", "\\\\").replace("'", "''")
    quoted = re.sub("[\u007f-\uffff]+", lambda run: f"\\X2\\{run[0].encode('utf-16-be').hex().upper()}\\X0\\", quoted)
    quoted = re.sub("[\U00010000-\U0010ffff]+", lambda run: f"\\X4\\{run[0].encode('utf-32-be').hex().upper()}\\X0\\", quoted)
    return f"'{quoted}'"


def _document(shown: Sequence[ModelBody]) -> Any:
    """Return the assembly: name 0 is its own, the bodies' follow."""
    from OCP.TCollection import TCollection_ExtendedString
    from OCP.TDocStd import TDocStd_Document
    from OCP.TopLoc import TopLoc_Location
    from OCP.XCAFDoc import XCAFDoc_DocumentTool

    document = TDocStd_Document(TCollection_ExtendedString("MDTV-XCAF"))
    shapes = XCAFDoc_DocumentTool.ShapeTool_s(document.Main())
    assembly = shapes.NewShape()
    _mark(assembly, 0)
    for number, body in enumerate(shown, 1):
        product = shapes.AddShape(compound(body.exact), False)
        placed = shapes.AddComponent(assembly, product, TopLoc_Location())
        _mark(product, number)
        _mark(placed, number)
    shapes.UpdateAssemblies()
    return document


def _mark(label: Any, number: int) -> None:
    """Give a label what stands for its name while the file is written: the library breaks long names anywhere."""
    from OCP.TCollection import TCollection_ExtendedString
    from OCP.TDataStd import TDataStd_Name

    TDataStd_Name.Set_s(label, TCollection_ExtendedString(f"{_MARK}{number:06d}"))


def _file(document: Any, shown: Sequence[ModelBody], what: str) -> bytes:
    """Return a document as a file that says no time and no machine."""
    from OCP.Interface import Interface_Static
    from OCP.Message import Message
    from OCP.STEPCAFControl import STEPCAFControl_Writer
    from OCP.STEPControl import STEPControl_AsIs

    Message.DefaultMessenger_s().ChangePrinters().Clear()  # it would tell its progress on standard output
    writer = STEPCAFControl_Writer()
    Interface_Static.SetIVal_s("write.surfacecurve.mode", 0)  # curves on surfaces say again what planes and lines say
    writer.Transfer(document, STEPControl_AsIs)
    model = writer.ChangeWriter().Model()
    _give_header(model, what)
    _number_instances(model)
    _colour(writer.ChangeWriter().WS(), model, shown)
    stream = io.BytesIO()
    writer.WriteStream(stream)
    return stream.getvalue()


def _give_header(model: Any, what: str) -> None:
    from OCP.APIHeaderSection import APIHeaderSection_MakeHeader
    from OCP.TCollection import TCollection_HAsciiString

    header = APIHeaderSection_MakeHeader(model)
    header.SetName(TCollection_HAsciiString("holdwright.step"))
    header.SetTimeStamp(TCollection_HAsciiString("2000-01-01T00:00:00"))
    header.SetDescriptionValue(1, TCollection_HAsciiString(what))
    header.SetAuthorValue(1, TCollection_HAsciiString(""))
    header.SetOrganizationValue(1, TCollection_HAsciiString(""))
    header.SetPreprocessorVersion(TCollection_HAsciiString("holdwright"))
    header.SetOriginatingSystem(TCollection_HAsciiString("holdwright"))
    header.SetAuthorisation(TCollection_HAsciiString(""))


def _number_instances(model: Any) -> None:
    """Number the instances from 1: the library goes on counting from file to file."""
    from OCP.StepRepr import StepRepr_NextAssemblyUsageOccurrence
    from OCP.TCollection import TCollection_HAsciiString

    for number, instance in enumerate(_entities(model, StepRepr_NextAssemblyUsageOccurrence), 1):
        instance.SetId(TCollection_HAsciiString(str(number)))


def _colour(session: Any, model: Any, shown: Sequence[ModelBody]) -> None:
    """Give every solid its colour, body after body: the library by itself does it in any order."""
    from OCP.collections import HArray1_StepRepr_RepresentationItem
    from OCP.Quantity import Quantity_Color, Quantity_TOC_sRGB
    from OCP.STEPConstruct import STEPConstruct_Styles
    from OCP.StepVisual import StepVisual_MechanicalDesignGeometricPresentationRepresentation
    from OCP.TCollection import TCollection_HAsciiString

    styles = STEPConstruct_Styles(session)
    for body, (representation, solids) in zip(shown, _representations(model), strict=True):
        colour = styles.EncodeColor_s(Quantity_Color(*rgb(FILLS[body.material]), Quantity_TOC_sRGB))
        items = HArray1_StepRepr_RepresentationItem(1, len(solids))
        for number, solid in enumerate(solids, 1):
            items.SetValue(number, styles.AddStyle(solid, styles.GetColorPSA(solid, colour), None))
        drawn = StepVisual_MechanicalDesignGeometricPresentationRepresentation()
        drawn.Init(TCollection_HAsciiString(""), items, representation.ContextOfItems())
        model.AddWithRefs(drawn)


def _representations(model: Any) -> Iterator[tuple[Any, list[Any]]]:
    """Yield each product's shape with its solids, in the order of the products."""
    from OCP.StepShape import StepShape_ManifoldSolidBrep, StepShape_ShapeRepresentation

    for representation in _entities(model, StepShape_ShapeRepresentation):
        items = [representation.ItemsValue(number) for number in range(1, representation.NbItems() + 1)]
        if solids := [item for item in items if isinstance(item, StepShape_ManifoldSolidBrep)]:
            yield representation, solids


def _entities(model: Any, kind: type) -> list[Any]:
    """Return the entities of a kind, in the order of the file."""
    entities = (model.Value(number) for number in range(1, model.NbEntities() + 1))
    return [entity for entity in entities if isinstance(entity, kind)]
