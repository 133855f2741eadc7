"""The view from above with its rulers, and enlarged details where labels found no room."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

from inventory.shapes import Point2
from inventory.tables import hole_label
from service.drawings.paper.labels import Label
from service.drawings.paper.lettering import NORMAL
from service.drawings.paper.marks import Box, Disc, Group, Mark, Picture, Stroke, TextLine, line, name_of, rectangle
from service.drawings.scene import Scene
from service.drawings.views.bodies import SeenBody, bodies_of, drawn_bodies, shown
from service.drawings.views.contact_marks import contact_marks, inside, welds
from service.drawings.views.crowds import Crowd, crowds
from service.drawings.views.dimensions import BAR_HIGH, OVERALL, overall, ruler_room, rulers, scale_bar
from service.drawings.views.labelled import Labelled, LabelText, WantedLabels, below_high, labelled, named_below
from service.drawings.views.outlook import TOP, More, View, nothing_more, scale_for, window_around

_CROSS = 0.9
_DETAIL_GAP = 3.0
_HEADING = 6.0
_LEAST_WIDE = 75.0
_ROUNDS = 6


@dataclass(frozen=True, slots=True)
class TopViews:
    """The view from above and the details that go with it."""

    main: Picture
    details: tuple[Picture, ...]


def top_views(scene: Scene, room_mm: Point2, more: More = nothing_more) -> TopViews:
    """Return the view from above on paper of at most so much room, wide and high, mm, and its details.

    Where labels find no room with the heights at which pieces meet parts, those are left to the details.
    """
    view, bodies = _view(scene, room_mm), bodies_of(scene, TOP)
    labels, found = _arranged(scene, view, bodies)
    main = _picture(scene, view, bodies, found, labels, more)
    return TopViews(main, tuple(_detail(scene, crowd, view, bodies, room_mm) for crowd in found))


def plain_top_view(scene: Scene, room_mm: Point2, more: More = nothing_more) -> Picture:
    """Return the same view from above before its labels have found their places: drawn in a moment, and as large."""
    return _picture(scene, _view(scene, room_mm), bodies_of(scene, TOP), (), Labelled((), ()), more)


def _view(scene: Scene, room_mm: Point2) -> View:
    x0, y0, x1, y1 = scene.window
    window = window_around(((x0, y0), (x1, y1)), 0.0)
    left, below = ruler_room(scene)
    free = room_mm[0] - left - OVERALL, room_mm[1] - OVERALL - below - BAR_HIGH
    return View(TOP, window, scale_for(window, free), (left, OVERALL))


def _arranged(scene: Scene, view: View, bodies: Sequence[SeenBody]) -> tuple[Labelled, list[Crowd]]:
    """Return the labels of the main view and the crowds that are drawn larger, so that every label has its place."""
    labels = _labelled(scene, view, bodies, WantedLabels("top"))
    if not labels.crowded:
        return labels, []
    what = WantedLabels("top", heights=False)
    labels = _labelled(scene, view, bodies, what)
    found: list[Crowd] = []
    for _ in range(_ROUNDS):
        if not labels.crowded:
            break
        found = crowds(scene, view, (*(id for crowd in found for id in crowd.ids), *labels.crowded))
        labels = _labelled(scene, view, bodies, _beside(what, found, view))
    return labels, found


def _beside(what: WantedLabels, found: Sequence[Crowd], view: View) -> WantedLabels:
    """Return what is labelled beside crowds: all but what their own drawings name, and each crowd's letter."""
    extra = tuple(_ring_label(crowd, _ring(crowd, view)) for crowd in found)
    return replace(what, leave_out=tuple(id for crowd in found for id in crowd.ids), extra=extra)


def _picture(
    scene: Scene, view: View, bodies: Sequence[SeenBody], found: Sequence[Crowd], labels: Labelled, more: More
) -> Picture:
    marks = [*_bodies(scene, view, bodies, "top", more), *(rectangle(_ring(crowd, view), "ring") for crowd in found)]
    marks += labels.marks
    marks += [*overall(view, scene.part_box, scene.units), *rulers(scene, view, scene.units)]
    bottom = view.frame.bottom + ruler_room(scene)[1]
    marks += scale_bar((view.frame.left, bottom + 1.5), view.scale, scene.units, view.frame.width / 2)
    wide = max(view.frame.right + OVERALL, view.frame.left + _LEAST_WIDE)
    rest = [*named_below(labels.unplaced, view.frame.left, bottom + BAR_HIGH, wide)]
    words = (
        f"View from above of {scene.weldment} on table {scene.table.id}: {len(scene.parts)} parts, {len(scene.welds)} welds, "
        f"{len(scene.pieces)} pieces of hardware. Figures along the edges are distances from the centre of hole A1."
    )
    return Picture(wide, bottom + BAR_HIGH + below_high(rest), (*marks, *rest), f"{scene.weldment}: from above", words)


def _labelled(scene: Scene, view: View, bodies: Sequence[SeenBody], what: WantedLabels) -> Labelled:
    return labelled(scene, view, shown(bodies, view), _holes_kept(scene, view), what)


def _bodies(scene: Scene, view: View, bodies: Sequence[SeenBody], prefix: str, more: More = nothing_more) -> Iterator[Mark]:
    """Yield all that a window from above shows but its labels."""
    drawn = [
        rectangle(view.frame, "floor"),
        *_table(scene, view, prefix),
        *drawn_bodies(shown(bodies, view), view, prefix, scene.units),
        *_hole_crosses(scene, view),
        *welds(scene, view, prefix),
        *contact_marks(scene, view, prefix),
        *more(view, prefix),
    ]
    yield Group(tuple(drawn), name_of(prefix, "view"), clip=view.frame)


def _table(scene: Scene, view: View, prefix: str) -> Iterator[Mark]:
    """Yield the slab and the holes that the window shows."""
    table, radius = scene.table, max(0.25, scene.table.hole_diameter / 2 / view.scale)
    slab = Box.around([view.flat((0.0, 0.0)), view.flat(table.size)])
    yield Group((rectangle(slab, "table"),), name_of(prefix, "table"), f"table {table.id}")
    for column in range(table.columns):
        for row in range(table.rows):
            centre = table.first[0] + table.pitch * column, table.first[1] + table.pitch * row
            if inside(view, (*centre, 0.0)):
                label, blocked = hole_label((column, row)), (column, row) in table.blocked_holes
                title = f"hole {label}, blocked" if blocked else f"hole {label}"
                yield Group(
                    (_hole(view.flat(centre), radius, blocked),), name_of(prefix, "hole", label), title, about=f"hole:{label}"
                )


def _hole(at: Point2, radius: float, blocked: bool) -> Mark:
    if not blocked:
        return Disc(at, radius, "hole")
    (x, y), r = at, radius
    return Stroke((((x - r, y - r), (x + r, y + r)), ((x - r, y + r), (x + r, y - r))), "blocked", closed=False)


def _hole_crosses(scene: Scene, view: View) -> Iterator[Mark]:
    """Yield a cross over every hole that a piece's origin stands in, so that it can be found under the body."""
    for x, y in _origins(scene, view):
        yield line((x - _CROSS, y), (x + _CROSS, y), style="cross")
        yield line((x, y - _CROSS), (x, y + _CROSS), style="cross")


def _origins(scene: Scene, view: View) -> Iterator[Point2]:
    for piece in scene.pieces:
        if piece.hole is not None and inside(view, (*piece.origin, 0.0)):
            yield view.flat(piece.origin)


def _holes_kept(scene: Scene, view: View) -> list[Box]:
    return [Box(x, y, x, y).grown(_CROSS) for x, y in _origins(scene, view)]


def _ring(crowd: Crowd, view: View) -> Box:
    return Box.around([view.flat((crowd.window.left, crowd.window.top)), view.flat((crowd.window.right, crowd.window.bottom))])


def _ring_label(crowd: Crowd, ring: Box) -> tuple[LabelText, Label]:
    text = LabelText(((f"detail {crowd.letter}", NORMAL, True),), "words", True, ())
    wide, high = text.size
    x = ring.middle[0]
    above, below = (x, ring.top - high / 2 - 0.3), (x, ring.bottom + high / 2 + 0.3)
    return text, Label(f"detail {crowd.letter}", wide, high, (x, ring.top), (above, below))


def _detail(scene: Scene, crowd: Crowd, main: View, bodies: Sequence[SeenBody], room_mm: Point2) -> Picture:
    """Return one crowd's enlarged drawing: larger than in the main view, as large as its labels need within the room."""
    left, below = ruler_room(scene)
    prefix = f"detail-{crowd.letter}"
    fits = scale_for(crowd.window, (room_mm[0] / 2 - _DETAIL_GAP - left, room_mm[1] / 2))
    least = scale_for(crowd.window, (room_mm[0] - left - 1.0, room_mm[1] - _HEADING - below - BAR_HIGH))
    scale = max(min(fits, main.scale / 1.5), main.scale / 5)
    while True:
        view = View(TOP, crowd.window, scale, (left, _HEADING))
        labels = _labelled(scene, view, bodies, WantedLabels(prefix))
        if not labels.unplaced or scale <= least:
            break
        scale = max(least, scale / 1.5)
    bottom = view.frame.bottom + below
    marks: list[Mark] = [
        *_bodies(scene, view, bodies, prefix),
        *labels.marks,
        rectangle(view.frame, "ring"),
        TextLine(f"detail {crowd.letter}", (view.frame.left, _HEADING - 1.8), "words", NORMAL, bold=True),
        *rulers(_only(scene, crowd), view, scene.units),
        *scale_bar((view.frame.left, bottom + 1.5), view.scale, scene.units, view.frame.width / 2),
    ]
    wide = max(view.frame.right + 1.0, view.frame.left + _LEAST_WIDE)
    rest = [*named_below(labels.unplaced, view.frame.left, bottom + BAR_HIGH, wide)]
    high = bottom + BAR_HIGH + below_high(rest)
    return Picture(wide, high, (*marks, *rest), f"{scene.weldment}: detail {crowd.letter}")


def _only(scene: Scene, crowd: Crowd) -> Scene:
    """Return the scene with the pieces whose holes lie in a crowd's window only."""
    box = crowd.window
    pieces = tuple(
        piece for piece in scene.pieces if box.left <= piece.origin[0] <= box.right and box.top <= piece.origin[1] <= box.bottom
    )
    return replace(scene, pieces=pieces)
