"""A weldment as a DXF drawing, R2010, mm: three views in one model space, a layer a part, and every plate's outline flat.

The view from above lies where the weldment does, x as x and y as y; the view from the front lies below it, the view from the
right beside that (third angle). ezdxf is imported when a drawing is made.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from inventory.limits import plain
from inventory.shapes import Point2
from service.drawings.dxf.layers import STYLE, empty, file_of
from service.drawings.dxf.texts import APPLICATION, facts, shown
from service.drawings.models.curved_solids import CurvedRing, section_rings
from service.drawings.paper.marks import Box
from service.drawings.views.outlook import SIDES, TOP, Outlook
from solver.weldment import Part, Weldment

if TYPE_CHECKING:
    from ezdxf.layouts import Modelspace

LAYERS: Mapping[str, tuple[int, int]] = {"WELDS": (230, 50), "DIMENSIONS": (8, 13), "TEXT": (7, 18)}
"""Layers besides the parts' and the plates': colour (AutoCAD colour index) and line weight (hundredths of a mm)."""
PART, PLATE = "PART", "PLATE"
"""What layers of parts and of flat plates are called first."""
_PART_STYLE, _PLATE_STYLE = (7, 35), (4, 25)
_NOT_IN_A_NAME = re.compile(r"[<>/\\\":;?*|=`,\x00-\x1f]")
_STEEP = 1e-9


@dataclass(frozen=True, slots=True)
class _DrawnView:
    """A view and where on the drawing its origin lies, mm."""

    outlook: Outlook
    box: Box
    origin: Point2

    def at(self, point: Point2) -> Point2:
        """Return where a point as seen lies on the drawing."""
        return self.origin[0] + point[0], self.origin[1] + point[1]

    @property
    def frame(self) -> Box:
        """The box around what is seen, on the drawing; its bottom is the greater y."""
        return self.box.shifted(*self.origin)


def weldment_dxf(weldment: Weldment) -> str:
    """Return the drawing of a weldment; the same one gives the same file."""
    layers = part_layers(weldment)
    plates = [part for part in weldment.parts if part.section.shape == "plate"]
    views = list(_views(weldment))
    height = _text_height(views)
    styles = {**dict.fromkeys(layers.values(), _PART_STYLE), **{plate_layer(part): _PLATE_STYLE for part in plates}, **LAYERS}
    drawing = empty(styles, height, weldment.units)
    space = drawing.modelspace()
    for view in views:
        for part in weldment.parts:
            for ring in seen_rings(part, view.outlook):
                _add_ring(space, [(*view.at((x, y)), bulge) for x, y, bulge in ring], layers[part.id], part)
        for weld in weldment.welds:
            path = [view.at(view.outlook.seen(point)) for point in weld.path]
            bead = space.add_lwpolyline(path, dxfattribs={"layer": "WELDS"})
            bead.set_xdata(APPLICATION, facts(kind="weld", id=weld.id, view=view.outlook.name))
        _add_sizes(space, view, height)
    for part in weldment.parts:
        _text(space, part.id, Box.around(_corners((part,), TOP)).middle, height, centred=True)
    _add_plates(space, plates, views, height)
    top = max(views[0].frame.bottom, views[0].frame.top) + 6 * height
    _text(space, weldment.name or "weldment", (views[0].frame.left, top), height * 1.4)
    return file_of(drawing)


def part_layers(weldment: Weldment) -> Mapping[str, str]:
    """Return each part's layer: ``PART`` and its id, without what a layer's name may not hold, no two alike in any case."""
    found: dict[str, str] = {}
    taken = set(LAYERS)
    for part in weldment.parts:
        plain = f"{PART} {_NOT_IN_A_NAME.sub('_', part.id)}"
        names = (plain, *(f"{plain} ({number})" for number in range(2, len(weldment.parts) + 2)))
        found[part.id] = next(name for name in names if name.upper() not in taken)
        taken.add(found[part.id].upper())
    return found


def plate_layer(part: Part) -> str:
    """Return the layer of a plate's flat outline: ``PLATE 8MM``."""
    return f"{PLATE} {plain(part.length)}MM"


def seen_rings(part: Part, outlook: Outlook) -> Iterator[CurvedRing]:
    """Yield the outlines of a part as it is seen: true arcs where one looks along it, else the outline of what is left of it."""
    frame = outlook.frame() @ part.pose.frame()
    if part.cuts or abs(frame[2, 0]) > _STEEP or abs(frame[2, 1]) > _STEEP:
        for outline in outlook.shape(part.drawn).rings:
            yield tuple((x, y, 0.0) for x, y in outline)
        return
    sense = float(np.sign(np.linalg.det(frame[:2, :2])))
    for ring in section_rings(part.section):
        placed = np.array([(u, v, 0.0, 1.0) for u, v, _ in ring]) @ frame.T
        yield tuple((float(x), float(y), sense * bulge) for (x, y, _, _), (_, _, bulge) in zip(placed, ring, strict=True))


def _views(weldment: Weldment) -> Iterator[_DrawnView]:
    """Yield the views, each apart from the others."""
    above, front, right = (
        (outlook, Box.around(_corners(weldment.parts, outlook)))
        for outlook in (TOP, SIDES["from the front"], SIDES["from the right"])
    )
    gap = max(above[1].width, above[1].height, front[1].height) / 6 + 40.0
    yield _DrawnView(*above, (0.0, 0.0))
    down = above[1].top - gap - front[1].bottom
    yield _DrawnView(*front, (0.0, down))
    yield _DrawnView(*right, (front[1].right + gap - right[1].left, down))


def _corners(parts: Iterable[Part], outlook: Outlook) -> Iterator[Point2]:
    """Yield two corners of the box around each part as it is seen."""
    for part in parts:
        x0, y0, x1, y1 = outlook.shape(part.drawn).box
        yield from ((x0, y0), (x1, y1))


def _text_height(views: Iterable[_DrawnView]) -> float:
    """Return how high texts are, mm: to be read beside the largest view."""
    return max(2.5, round(max(max(view.box.width, view.box.height) for view in views) / 60, 1))


def _add_ring(space: Modelspace, ring: Iterable[tuple[float, float, float]], layer: str, part: Part) -> None:
    entity = space.add_lwpolyline(list(ring), format="xyb", close=True, dxfattribs={"layer": layer})
    entity.set_xdata(APPLICATION, facts(kind="part", id=part.id))


def _add_sizes(space: Modelspace, view: _DrawnView, height: float) -> None:
    """Add a view's overall sizes below it and to its right, and from where it is seen."""
    box, attributes = view.frame, {"layer": "DIMENSIONS"}
    space.add_linear_dim(
        (box.left, box.top - 3 * height), (box.left, box.top), (box.right, box.top), dimstyle=STYLE, dxfattribs=attributes
    ).render()
    space.add_linear_dim(
        (box.right + 3 * height, box.top), (box.right, box.top), (box.right, box.bottom), angle=90, dimstyle=STYLE,
        dxfattribs=attributes,
    ).render()  # fmt: skip
    _text(space, view.outlook.name, (box.left, box.bottom + 1.5 * height), height)


def _add_plates(space: Modelspace, plates: Iterable[Part], views: Iterable[_DrawnView], height: float) -> None:
    """Add every plate flat, as its outline was given, one below the other to the right of the views, with its thickness."""
    left = max(view.frame.right for view in views) + 14 * height
    top = max(view.frame.bottom for view in views)
    for part in plates:
        box = Box.around(part.section.outline)
        shift = left - box.left, top - box.bottom
        for ring in (part.section.outline, *part.section.cutouts):
            _add_ring(space, [(u + shift[0], v + shift[1], 0.0) for u, v in ring], plate_layer(part), part)
        words = f"PL{plain(part.length)} {part.id}" + (" (sloped edges are not drawn)" if part.cuts else "")
        top -= box.height + 2 * height
        _text(space, words, (left, top), height)
        top -= 3 * height


def _text(space: Modelspace, words: str, at: Point2, height: float, centred: bool = False) -> None:
    from ezdxf.enums import TextEntityAlignment

    entity = space.add_text(shown(words), height=height, dxfattribs={"layer": "TEXT", "style": STYLE})
    entity.set_placement(at, align=TextEntityAlignment.MIDDLE_CENTER if centred else TextEntityAlignment.LEFT)
