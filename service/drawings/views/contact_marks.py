"""Marks of contacts, of V-blocks, of clamps and of the torch: our own, each told from the others by its shape alone.

A filled triangle points into the part at a side point, an open one at an end point; where one looks along the push both are
discs. A crossed square is a support; a ringed dot with an arrow is a clamp's tip and its push; an open chevron is a V-block;
a thin arrow or a ringed dot beside a weld is the torch's side.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator

from inventory.shapes import Point2, Point3
from service.drawings.paper.marks import Box, Disc, Group, Mark, Stroke, arrow, line, name_of
from service.drawings.scene import ContactMark, DrawnWeld, Scene
from service.drawings.views.outlook import View

SIZE = 1.9
"""How large a mark is, mm."""
_LEVEL = 0.35
_TORCH = 5.0


def contact_marks(scene: Scene, view: View, prefix: str) -> Iterator[Mark]:
    """Yield the marks of all contacts in the window."""
    for number, mark in enumerate(mark for mark in scene.marks if mark.mark != "rests"):
        if inside(view, mark.point):
            what = f"{mark.mark} point of {mark.piece}" if mark.mark != "clamp" else f"tip of {mark.piece}"
            drawn = tuple(drawn_contact(mark, view.at(mark.point), view.way(mark.push)))
            yield Group(drawn, name_of(prefix, "contact", number), what, about=f"piece:{mark.piece}")


def inside(view: View, point: Point3) -> bool:
    """Whether a view's window shows a point."""
    x, y = view.outlook.seen(point)
    return view.window.left <= x <= view.window.right and view.window.top <= y <= view.window.bottom


def drawn_contact(mark: ContactMark, at: Point2, way: Point2) -> list[Mark]:
    """Return one contact's mark at a place on paper; `way` is its push on paper."""
    length = math.hypot(*way)
    level = None if length < _LEVEL else (way[0] / length, way[1] / length)
    if mark.mark == "clamp":
        found: list[Mark] = [Disc(at, 0.55 * SIZE, "tip"), Disc(at, 0.2 * SIZE, "dot")]
        return found if level is None else [*arrow(back(at, level, 2.6 * SIZE), back(at, level, 0.55 * SIZE), "push"), *found]
    if mark.vee and level is not None:
        return chevron(at, level)
    if mark.mark in ("side", "end"):
        return [triangle(at, level, mark.mark) if level is not None else along_push(at, mark.mark)]
    return crossed_square(at)


def triangle(tip: Point2, way: Point2, style: str) -> Stroke:
    """Return a triangle whose tip points into the part."""
    foot, wing = back(tip, way, SIZE), 0.5 * SIZE
    corners = (
        tip,
        (foot[0] - way[1] * wing, foot[1] + way[0] * wing),
        (foot[0] + way[1] * wing, foot[1] - way[0] * wing),
    )
    return Stroke((corners,), f"mark {style}")


def along_push(at: Point2, style: str) -> Disc:
    """Return the mark of a side or end point that is seen along its push."""
    return Disc(at, 0.4 * SIZE, f"mark {style}")


def chevron(at: Point2, way: Point2) -> list[Mark]:
    """Return the mark of a V-block's flank: an open angle about the contact, opening into the part."""
    foot, wing = back(at, way, 0.75 * SIZE), 0.6 * SIZE
    points = ((at[0] - way[1] * wing, at[1] + way[0] * wing), foot, (at[0] + way[1] * wing, at[1] - way[0] * wing))
    return [line(*points, style="vee"), line(*points, style="vee-line")]


def crossed_square(at: Point2) -> list[Mark]:
    """Return the mark of a support point."""
    half = 0.42 * SIZE
    box = Box(at[0] - half, at[1] - half, at[0] + half, at[1] + half)
    corners = ((box.left, box.top), (box.right, box.top), (box.right, box.bottom), (box.left, box.bottom))
    cross = ((corners[0], corners[2]), (corners[1], corners[3]))
    return [Stroke((corners,), "mark support"), Stroke(cross, "cross", closed=False)]


def back(at: Point2, way: Point2, by: float) -> Point2:
    """Return the place so far behind another, mm."""
    return at[0] - way[0] * by, at[1] - way[1] * by


def welds(scene: Scene, view: View, prefix: str) -> Iterator[Mark]:
    """Yield every weld's bead in the window, with the side the torch comes from."""
    for number, weld in enumerate(scene.welds):
        if any(inside(view, point) for point in weld.line):
            found = [*bead([view.at(point) for point in weld.line]), *torch(weld, view)]
            yield Group(tuple(found), name_of(prefix, "weld", number, weld.id), f"weld {weld.id}", about=f"weld:{weld.id}")


def bead(points: Iterable[Point2]) -> list[Mark]:
    """Return a bead on paper; one seen end on is a dot."""
    at = list(points)
    if all(math.dist(point, at[0]) < 0.6 for point in at):
        return [Disc(at[0], 0.9, "bead")]
    return [line(*at, style="casing"), line(*at, style="weld")]


def torch(weld: DrawnWeld, view: View) -> list[Mark]:
    """Return the side the torch comes from at the middle of a weld: an arrow, or a ringed dot where it comes from the viewer."""
    if not weld.torches:
        return []
    return torch_at(*weld.torches[len(weld.torches) // 2], view)


def torch_at(point: Point3, direction: Point3, view: View) -> list[Mark]:
    """Return the side the torch comes from at one point; `direction` is from the nozzle towards the weld."""
    at, way = view.at(point), view.way(direction)
    length = math.hypot(*way)
    if length < _LEVEL:
        return [Disc(at, 1.1, "torch-down"), Disc(at, 0.35, "torch-head")]
    level = way[0] / length, way[1] / length
    return arrow(back(at, level, 1.0 + _TORCH * length), back(at, level, 1.0), "torch", head=1.4)
