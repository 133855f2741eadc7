"""Items from above as a DXF drawing, R2010, mm: solids, pegs, pads and the ways of clamps' tips, a layer a kind.

One item alone lies in its own frame, many lie beside each other. ezdxf is imported when a drawing is made.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import TYPE_CHECKING

from inventory.items import Item
from inventory.shapes import Point2
from service.drawings.dxf.layers import STYLE, empty, file_of
from service.drawings.dxf.texts import APPLICATION, facts, shown
from service.drawings.items.shown_items import ShownItems, at_place, laid_out, pad_corners, peg_points, seen_box, solid_names
from service.drawings.projection import silhouette
from service.drawings.views.outlook import TOP

if TYPE_CHECKING:
    from ezdxf.layouts import Modelspace

LAYERS: Mapping[str, tuple[int, int]] = {
    "SOLIDS": (7, 35),
    "MOVES": (142, 35),
    "PEGS": (8, 25),
    "PADS": (6, 35),
    "REACH": (42, 25),
    "TEXT": (7, 18),
}
"""Every layer with its colour (AutoCAD colour index) and its line weight (hundredths of a mm)."""
HEIGHT = 5.0
"""Of texts, mm."""
_PEG_RADIUS, _ARROW = 5.0, 10.0


def items_dxf(drawn: ShownItems) -> str:
    """Return the drawing of items; the same ones give the same file."""
    drawing = empty(LAYERS, HEIGHT, "mm")
    space = drawing.modelspace()
    for item, place in laid_out(drawn):
        _add_item(space, item, place, drawn.pitch)
    return file_of(drawing)


def _add_item(space: Modelspace, item: Item, place: Point2, pitch: float | None) -> None:
    for name, solid in zip(solid_names(item), item.solids, strict=True):
        shape = silhouette(at_place(solid.prism, place))
        known = facts(kind="solid", item=item.id, solid=name, from_mm=shape.low, to_mm=shape.high)
        for ring in shape.rings:
            entity = space.add_lwpolyline(ring, close=True, dxfattribs={"layer": "MOVES" if solid.moves else "SOLIDS"})
            entity.set_xdata(APPLICATION, known)
    for x, y in peg_points(item, pitch):
        centre, known = (x + place[0], y + place[1]), facts(kind="peg", item=item.id)
        space.add_circle(centre, _PEG_RADIUS, dxfattribs={"layer": "PEGS"}).set_xdata(APPLICATION, known)
        for dx, dy in ((_PEG_RADIUS, 0.0), (0.0, _PEG_RADIUS)):
            ends = (centre[0] - dx, centre[1] - dy), (centre[0] + dx, centre[1] + dy)
            space.add_line(*ends, dxfattribs={"layer": "PEGS"})
    _add_pads(space, item, place)
    box = seen_box(item, TOP, pitch).shifted(*place)
    words = space.add_text(shown(item.id), height=HEIGHT, dxfattribs={"layer": "TEXT", "style": STYLE})
    words.set_placement((box.left, box.top - 2 * HEIGHT))


def _add_pads(space: Modelspace, item: Item, place: Point2) -> None:
    """Add each pad as its rectangle in space with a line along its normal, and the way of the tip in space."""

    def placed(point: tuple[float, float, float]) -> tuple[float, float, float]:
        return point[0] + place[0], point[1] + place[1], point[2]

    for number, contact in enumerate(item.contacts, 1):
        known = facts(kind="pad", item=item.id, number=number, width=contact.width, height=contact.height)
        pad = space.add_polyline3d(list(map(placed, pad_corners(contact))), close=True, dxfattribs={"layer": "PADS"})
        pad.set_xdata(APPLICATION, [*known, (1013, contact.normal)])
        tip = tuple(a + _ARROW * n for a, n in zip(contact.at, contact.normal, strict=True))
        space.add_line(placed(contact.at), placed((tip[0], tip[1], tip[2])), dxfattribs={"layer": "PADS"})
    if item.clamp is not None:
        first, last = item.clamp.reach
        known = facts(kind="reach", item=item.id, force_n=item.clamp.force_n)
        space.add_line(placed(first), placed(last), dxfattribs={"layer": "REACH"}).set_xdata(APPLICATION, known)
