"""A weldment from above so small that it stands in a list: bodies and beads, no words."""

from __future__ import annotations

from collections.abc import Sequence

from inventory.shapes import Point2
from service.drawings.paper.marks import Mark, Picture, Stroke, line
from service.drawings.views.bodies import OUTER
from service.drawings.views.outlook import TOP, View, window_around
from solver.weldment import Part, Weld

_MARGIN_MM = 1.0
_LEAST = 1e-6


def small_picture(name: str, parts: Sequence[Part], welds: Sequence[Weld], room_mm: Point2 = (36.0, 24.0)) -> Picture | None:
    """Return a weldment as drawn, filling paper of so much room, wide and high, mm; None while it has no part."""
    if not parts:
        return None
    bodies = sorted(((TOP.shape(part.drawn), OUTER if part.body else "part") for part in parts), key=lambda body: body[0].high)
    window = window_around([point for shape, _ in bodies for point in shape.rings[0]], 0.0)
    free = room_mm[0] - 2 * _MARGIN_MM, room_mm[1] - 2 * _MARGIN_MM
    scale = max(window.width / free[0], window.height / free[1], _LEAST)
    corner = (room_mm[0] - window.width / scale) / 2, (room_mm[1] - window.height / scale) / 2
    view = View(TOP, window, scale, corner)
    marks: list[Mark] = [Stroke(tuple(view.ring(ring) for ring in shape.rings), style) for shape, style in bodies]
    marks += [line(*(view.at(point) for point in weld.path), style="weld") for weld in welds]
    return Picture(*room_mm, tuple(marks), f"{name or 'weldment'} from above")
