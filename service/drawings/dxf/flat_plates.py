"""The plates of a weldment flat and nothing else, as DXF, R2010, mm: what is cut, and what is read again as plates.

Every plate lies as its outline was given, on a layer that says its thickness, with its id in it. ezdxf is imported when it
is drawn.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from typing import TYPE_CHECKING

from inventory.errors import Fault, InvalidDocument
from inventory.shapes import Point2
from service.drawings.dxf.layers import STYLE, empty, file_of
from service.drawings.dxf.texts import APPLICATION, facts, shown
from service.drawings.dxf.weldment_views import plate_layer
from service.drawings.paper.marks import Box
from service.drawings.projection import Silhouette
from solver.weldment import Part, Weldment

if TYPE_CHECKING:
    from ezdxf.layouts import Modelspace

_PLATE_STYLE, _TEXT_STYLE = (7, 25), (8, 13)
_APART = 20.0
_SHARES = tuple(step / 20 for step in range(1, 20))


def plates_dxf(weldment: Weldment) -> str:
    """Return the drawing of a weldment's plates; raises InvalidDocument if it has none."""
    plates = [part for part in weldment.parts if part.section.shape == "plate"]
    if not plates:
        raise InvalidDocument([Fault("/parts", "no part is a plate", "a weldment with plates, or another format")])
    layers = {**{plate_layer(part): _PLATE_STYLE for part in plates}, "TEXT": _TEXT_STYLE}
    drawing = empty(layers, 5.0, weldment.units)
    space = drawing.modelspace()
    for part, shift in _laid(plates):
        _add(space, part, shift)
    return file_of(drawing)


def _laid(plates: Sequence[Part]) -> Iterator[tuple[Part, Point2]]:
    """Yield each plate with how far its outline is moved, so that none meets another: in rows."""
    boxes = [Box.around(part.section.outline) for part in plates]
    widest = max(math.sqrt(2 * sum((box.width + _APART) * (box.height + _APART) for box in boxes)), *(b.width for b in boxes))
    x = y = deepest = 0.0
    for part, box in zip(plates, boxes, strict=True):
        if x > 0.0 and x + box.width > widest:
            x, y, deepest = 0.0, y - deepest - _APART, 0.0
        yield part, (x - box.left, y - box.bottom)
        x += box.width + _APART
        deepest = max(deepest, box.height)


def _add(space: Modelspace, part: Part, shift: Point2) -> None:
    from ezdxf.enums import TextEntityAlignment

    rings = [[(u + shift[0], v + shift[1]) for u, v in ring] for ring in (part.section.outline, *part.section.cutouts)]
    for ring in rings:
        entity = space.add_lwpolyline(ring, close=True, dxfattribs={"layer": plate_layer(part)})
        entity.set_xdata(APPLICATION, facts(kind="part", id=part.id, thickness_mm=part.length))
    box = Box.around(rings[0])
    height = max(1.0, min(5.0, round(min(box.width, box.height) / 8, 1)))
    words = space.add_text(shown(part.id), height=height, dxfattribs={"layer": "TEXT", "style": STYLE})
    words.set_placement(_within(Silhouette(tuple(map(tuple, rings)), 0.0, 0.0), box), align=TextEntityAlignment.MIDDLE_CENTER)


def _within(shape: Silhouette, box: Box) -> Point2:
    """Return a point on a plate, as near its middle as one of a net is."""
    middle = box.middle
    net = [(box.left + a * box.width, box.top + b * box.height) for a in _SHARES for b in _SHARES]
    return min((spot for spot in net if shape.covers(*spot)), key=lambda spot: math.dist(spot, middle), default=middle)
