"""A whole weldment drawn by itself, as a picture file."""

from __future__ import annotations

from inventory.shapes import Point2
from service.documents import read_weldment
from service.drawings.paper.svg import as_svg
from service.drawings.weldment.flat_views import flat_view
from service.drawings.weldment.shown_weldment import ShownWeldment

ROOM_MM: Point2 = (180.0, 120.0)


def weldment_svg(text: str, view: str) -> str:
    """Return a weldment document as SVG, seen from where one of the views of `flat_views.VIEWS` looks.

    Raises
    ------
    KeyError
        There is no such view.
    InvalidDocument
        The document is none.
    """
    weldment = read_weldment(text)
    parts, welds = tuple(enumerate(weldment.parts)), tuple(enumerate(weldment.welds))
    return as_svg(flat_view(ShownWeldment(weldment.name, weldment.units, parts, welds), view, ROOM_MM))
