"""What a drawing has in its model space, blocks opened: curves that may make outlines, texts, and what is not read."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Any

from inventory.errors import Fault, InvalidDocument
from inventory.limits import shown
from inventory.shapes import Point2
from service.exchange.weldments.dxf.block_sizes import block_sizes, copies_of
from service.exchange.weldments.dxf.curves import Curve, PointedCurve
from service.exchange.weldments.dxf.entity_curves import KINDS, NotFlat, UnsoundEntity, curves_of
from service.exchange.weldments.weldment_reading import Remark

if TYPE_CHECKING:
    from ezdxf.document import Drawing
    from ezdxf.math import Matrix44

MOST_CURVES = 50_000
MOST_POINTS = 500_000
"""Of all splines together."""
MOST_TEXTS = 5000
_TEXTS = ("TEXT", "MTEXT", "ATTRIB")
_UNREAD = {
    "DIMENSION": "dimensions", "ARC_DIMENSION": "dimensions", "LARGE_RADIAL_DIMENSION": "dimensions", "LEADER": "leaders",
    "MULTILEADER": "leaders", "MLEADER": "leaders", "TOLERANCE": "tolerance frames", "HATCH": "hatches", "MPOLYGON": "hatches",
    "POINT": "points", "VIEWPORT": "viewports", "IMAGE": "images", "WIPEOUT": "images", "ATTDEF": "attribute definitions",
    "3DSOLID": "solid bodies", "BODY": "solid bodies", "REGION": "regions", "SURFACE": "surfaces", "3DFACE": "faces in space",
    "MESH": "meshes", "SOLID": "filled areas", "TRACE": "filled areas", "XLINE": "endless lines", "RAY": "endless lines",
    "MLINE": "multiple lines", "HELIX": "helices", "ACAD_TABLE": "tables",
}  # fmt: skip


@dataclass(frozen=True, slots=True)
class DrawnCurves:
    """One entity that may be part of an outline.

    Parameters
    ----------
    number : int
        From 0, in the order of the file with blocks opened where they stand.
    kind : str
        What DXF calls it.
    curves : tuple of Curve
        One after another, mm.
    closed : bool
        Whether they end where they begin.
    layer : str
        The layer it shows on: one drawn on layer 0 of a block shows on the layer the block is put on.
    block : str
        The innermost block it stands in, empty for the model space.
    copy : int
        Which copy of a block it stands in, 0 for the model space.
    """

    number: int
    kind: str
    curves: tuple[Curve, ...]
    closed: bool
    layer: str
    block: str
    copy: int

    @property
    def where(self) -> str:
        """Where its user finds it."""
        inside = f", block {self.block}" if self.block else ""
        return f"layer {self.layer}, {self.kind.lower()}{inside}"


@dataclass(frozen=True, slots=True)
class DrawnText:
    """A text and where it stands, mm."""

    text: str
    at: Point2


@dataclass
class FlatDrawing:
    """What was found in a model space."""

    curves: list[DrawnCurves] = field(default_factory=list)
    texts: list[DrawnText] = field(default_factory=list)
    remarks: list[Remark] = field(default_factory=list)


@dataclass(frozen=True, slots=True)
class _Place:
    """Where a block is opened: from its coordinates to the drawing's, and what shows through it."""

    matrix: Matrix44
    layer: str = "0"
    linetype: str = "CONTINUOUS"
    block: str = ""
    copy: int = 0


def flat_drawing(drawing: Drawing, mm: float, ignored_layers: Iterable[str]) -> FlatDrawing:
    """Return what a drawing holds, in millimetres.

    Parameters
    ----------
    drawing : ezdxf drawing
    mm : float
        Millimetres in one of its units.
    ignored_layers : texts
        Layers that are left out by the user's word.

    Raises
    ------
    InvalidDocument
        If there is more than is read, with the numbers, or a block holds itself.
    """
    from ezdxf.math import Matrix44

    sizes = block_sizes(drawing)
    count = sum(sizes.of(entity) for entity in drawing.modelspace())
    if count > MOST_CURVES:
        wrong = f"{count:,} entities, all blocks opened"
        raise InvalidDocument([Fault("/entities", wrong, f"at most {MOST_CURVES:,}")])
    walk = _Walk(drawing, {layer.casefold() for layer in ignored_layers})
    walk.open(drawing.modelspace(), _Place(Matrix44.scale(mm)))
    walk.sum_up()
    return walk.found


def _where(entity: Any, layer: str, place: _Place) -> str:
    """Return where a user finds an entity."""
    return f"layer {layer}, {entity.dxftype().lower()}" + (f", block {place.block}" if place.block else "")


class _Walk:
    def __init__(self, drawing: Drawing, ignored_layers: set[str]) -> None:
        self.drawing = drawing
        self.found = FlatDrawing()
        self.ignored = ignored_layers
        self.unseen = {
            layer.dxf.name.casefold(): layer.dxf.name for layer in drawing.layers if layer.is_off() or layer.is_frozen()
        }
        self.left: Counter[tuple[str, str]] = Counter()
        self.copies = 0
        self.points = 0

    def open(self, entities: Iterable[Any], place: _Place) -> None:
        """Take in the entities of a model space or a block."""
        from ezdxf.lldxf.const import DXFError

        for entity in entities:
            layer = entity.dxf.get("layer", "0") if entity.dxf.is_supported("layer") else "0"
            layer = place.layer if layer == "0" and place.block else layer
            try:
                self._take_in(entity, layer, place)
            except (DXFError, ArithmeticError, AttributeError, IndexError, KeyError, TypeError, ValueError) as error:
                # ezdxf keeps what it can read of a damaged entity, so that any number of it may be missing.
                text = f"it cannot be read ({shown(str(error))[1:-1]}); it is left out"
                self.found.remarks.append(Remark("entity.unsound", text, _where(entity, layer, place)))

    def _take_in(self, entity: Any, layer: str, place: _Place) -> None:
        kind = entity.dxftype()
        if reason := self._hidden(entity, layer):
            self.left[reason, layer] += 1
        elif kind == "INSERT":
            self._insert(entity, layer, place)
        elif kind in _TEXTS:
            self._text(entity, place)
        elif kind in KINDS:
            self._curves(entity, layer, place)
        else:
            self.left[_UNREAD.get(kind, f"entities {shown(kind)}"), layer] += 1

    def _hidden(self, entity: Any, layer: str) -> str:
        if layer.casefold() in self.ignored:
            return "entities left out as asked"
        if layer.casefold() == "defpoints":
            return "entities that are not printed"
        invisible = entity.dxf.is_supported("invisible") and entity.dxf.get("invisible", 0)
        if layer.casefold() in self.unseen or invisible:
            return "entities that are switched off"
        return ""

    def _insert(self, insert: Any, layer: str, place: _Place) -> None:
        block = insert.block()
        if block is None:
            self.left["references to blocks that are not there", layer] += 1
            return
        self._each(insert.attribs, place)
        linetype = self._linetype(insert, layer, place)
        for each in insert.multi_insert() if copies_of(insert) > 1 else (insert,):
            self.copies += 1
            inside = _Place(each.matrix44() * place.matrix, layer, linetype, insert.dxf.name, self.copies)
            self.open(block, inside)

    def _each(self, attributes: Iterable[Any], place: _Place) -> None:
        for attribute in attributes:
            if not attribute.is_invisible:
                self._text(attribute, place)

    def _text(self, entity: Any, place: _Place) -> None:
        if len(self.found.texts) >= MOST_TEXTS:
            self.left["texts", entity.dxf.layer] += 1
            return
        if entity.dxftype() == "MTEXT":
            text, at = entity.plain_text(), entity.dxf.insert
        else:
            text = entity.plain_text()
            aligned = entity.dxf.get("halign", 0) or entity.dxf.get("valign", 0)
            at = entity.dxf.align_point if aligned and entity.dxf.hasattr("align_point") else entity.dxf.insert
            at = entity.ocs().to_wcs(at)
        x, y, _ = place.matrix.transform(at).xyz
        self.found.texts.append(DrawnText(text[:1000], (x, y)))

    def _curves(self, entity: Any, layer: str, place: _Place) -> None:
        linetype = self._linetype(entity, layer, place)
        if self._broken(linetype):
            self.left[f"lines of linetype {linetype}", layer] += 1
            return
        number = len(self.found.curves)
        where = _where(entity, layer, place)
        try:
            curves, closed = curves_of(entity, place.matrix)
        except NotFlat:
            text = "it is tilted, or drawn at several heights; only what is flat in the drawing's plane is read"
            self.found.remarks.append(Remark("entity.not_flat", text, where))
            return
        except UnsoundEntity as error:
            self.found.remarks.append(Remark("entity.unsound", f"it {error}; it is left out", where))
            return
        self.points += sum(len(curve.given) for curve in curves if isinstance(curve, PointedCurve))
        if number + len(curves) > MOST_CURVES or self.points > MOST_POINTS:
            wrong = f"more than {MOST_CURVES:,} curves, or more than {MOST_POINTS:,} points of splines"
            raise InvalidDocument([Fault("/entities", wrong, "a drawing with less in it, or splines with fewer points")])
        self.found.curves.append(
            DrawnCurves(number, entity.dxftype(), tuple(curves), closed, layer, place.block, place.copy)
        )  # fmt: skip

    def _linetype(self, entity: Any, layer: str, place: _Place) -> str:
        name: str = entity.dxf.get("linetype", "BYLAYER")
        if name.upper() == "BYBLOCK":
            return place.linetype
        if name.upper() == "BYLAYER":
            name = self.drawing.layers.get(layer).dxf.get("linetype", "CONTINUOUS") if layer in self.drawing.layers else ""
        return name or "CONTINUOUS"

    def _broken(self, linetype: str) -> bool:
        """Whether lines of a linetype have gaps: centre lines, hidden edges, bending lines."""
        if linetype.upper() in ("CONTINUOUS", "BYLAYER", "BYBLOCK"):
            return False
        if linetype not in self.drawing.linetypes:
            return True
        return len(self.drawing.linetypes.get(linetype).simplified_line_pattern()) > 0

    def sum_up(self) -> None:
        """Say what was not read, a remark for each sort and layer."""
        for (what, layer), count in self._sorted():
            self.found.remarks.append(Remark("entity.ignored", f"{what}: {count}, not part of any outline", f"layer {layer}"))
        paper = sum(len(layout) for layout in self.drawing.layouts if layout.name != "Model")
        if paper:
            text = f"{paper} entities on paper sheets are not read; the model space is"
            self.found.remarks.append(Remark("paper.ignored", text))

    def _sorted(self) -> Iterator[tuple[tuple[str, str], int]]:
        yield from sorted(self.left.items())
