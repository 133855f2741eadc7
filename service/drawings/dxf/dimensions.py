"""The dimensions of a DXF drawing: how large the weldment is, and how far from hole A1 the pieces stand."""

from __future__ import annotations

from collections.abc import Iterable
from typing import TYPE_CHECKING

from inventory.shapes import Point2
from service.drawings.dxf.layers import STYLE, text_height
from service.drawings.scene import Scene

if TYPE_CHECKING:
    from ezdxf.layouts import Modelspace

_ATTRIBUTES = {"layer": "DIMENSIONS"}


def add_sizes(space: Modelspace, scene: Scene) -> None:
    """Add the weldment's overall sizes, above and to the right of all that is drawn of the fixture."""
    x0, y0, x1, y1 = scene.part_box
    _, _, right, top = scene.window
    space.add_linear_dim((x0, top), (x0, y1), (x1, y1), dimstyle=STYLE, dxfattribs=_ATTRIBUTES).render()
    space.add_linear_dim((right, y0), (x1, y0), (x1, y1), angle=90, dimstyle=STYLE, dxfattribs=_ATTRIBUTES).render()


def add_ordinates(space: Modelspace, scene: Scene) -> None:
    """Add how far right of and above hole A1 each column and row of holes lies in which a piece stands.

    A column's leader runs down from its lowest piece, a row's to the left from its leftmost.
    """
    first, (left, bottom, _, _) = scene.table.first, scene.window
    stand = [piece.origin for piece in scene.pieces if piece.hole is not None]
    out = 3 * text_height(scene.table)
    for x, y in _lowest(stand):
        down = (0.0, bottom - out - y)
        space.add_ordinate_x_dim((x, y), down, origin=first, dimstyle=STYLE, dxfattribs=_ATTRIBUTES).render()
    for y, x in _lowest((y, x) for x, y in stand):
        aside = (left - out - x, 0.0)
        space.add_ordinate_y_dim((x, y), aside, origin=first, dimstyle=STYLE, dxfattribs=_ATTRIBUTES).render()


def _lowest(points: Iterable[Point2]) -> list[Point2]:
    """Return of the points with the same first coordinate the one with the least second, in order."""
    found: dict[float, float] = {}
    for first, second in sorted(points):
        found.setdefault(first, second)
    return list(found.items())
