"""The view from above at a glance: bodies and beads without a word, so small that several fit side by side."""

from __future__ import annotations

from collections.abc import Set

from inventory.shapes import Point2
from service.drawings.paper.marks import Box, Group, Mark, Picture, rectangle
from service.drawings.scene import Scene
from service.drawings.views.bodies import bodies_of, drawn_bodies, shown
from service.drawings.views.contact_marks import bead, inside
from service.drawings.views.outlook import TOP, View, window_around

_LEAST = 1e-6
_ROUND = 1.2


def overview(scene: Scene, room_mm: Point2, ringed: Set[str] = frozenset(), said: str = "") -> Picture:
    """Return all of a fixture on paper of at most so much room, wide and high, mm, at the scale that fills it.

    Parameters
    ----------
    ringed : set of str
        Ids of pieces that a dashed ring is drawn round.
    said : str
        The picture's title; the weldment's name if empty.
    """
    x0, y0, x1, y1 = scene.window
    window = window_around(((x0, y0), (x1, y1)), 0.0)
    scale = max(window.width / room_mm[0], window.height / room_mm[1], _LEAST)
    view = View(TOP, window, scale)
    bodies = shown(bodies_of(scene, TOP), view)
    marks: list[Mark] = [
        rectangle(view.frame, "floor"),
        rectangle(Box.around([view.flat((0.0, 0.0)), view.flat(scene.table.size)]), "table"),
        *drawn_bodies(bodies, view, "over", scene.units),
    ]
    for number, weld in enumerate(scene.welds):
        if any(inside(view, point) for point in weld.line):
            drawn = tuple(bead([view.at(point) for point in weld.line]))
            marks.append(Group(drawn, f"over-weld-{number}", f"weld {weld.id}", about=f"weld:{weld.id}"))
    for piece in scene.pieces:
        if piece.id in ringed:
            corners = [view.flat(point) for shape in piece.shapes for point in shape.rings[0]]
            marks.append(rectangle(Box.around(corners).grown(_ROUND), "ring"))
    words = f"{len(scene.parts)} parts on table {scene.table.id}, {len(scene.pieces)} pieces of hardware, seen from above."
    inner = Group(tuple(marks), "over", clip=view.frame)
    return Picture(view.frame.width, view.frame.height, (inner,), said or f"{scene.weldment}: from above", words)
