"""The view from the side that shows most: stacks with their heights above the table, slants, how high clamps reach."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace
from itertools import chain

import numpy as np

from inventory.shapes import Point2, Prism
from inventory.tables import hole_label
from service.drawings.paper.lettering import NORMAL, SMALL
from service.drawings.paper.marks import Box, Group, Mark, Picture, TextLine, line, name_of, rectangle
from service.drawings.scene import DrawnPiece, Scene
from service.drawings.stacks import stacks
from service.drawings.views.bodies import SeenBody, bodies_of, drawn_bodies, shown
from service.drawings.views.contact_marks import contact_marks, welds
from service.drawings.views.dimensions import BAR_HIGH, ROW, heights, scale_bar
from service.drawings.views.labelled import Labelled, WantedLabels, below_high, labelled, named_below
from service.drawings.views.outlook import SIDES, More, Outlook, View, nothing_more, scale_for, window_around

LEFT = 17.0
"""What the ruler of heights takes left of the view, mm."""
_HEADING = 5.5
_MARGIN = 0.6
_SQUARE = 1e-6
_APART = 12.0


def needs_elevation(scene: Scene) -> bool:
    """Whether a view from above leaves something out that a fitter must see: a stack, a slant, parts that lie on parts."""
    if any(len(stack) > 1 for stack in stacks(scene)):
        return True
    if any(_slants(solid) for part in scene.parts for solid in part.solids):
        return True
    lows = {round(min(shape.low for shape in part.shapes), 1) for part in scene.parts}
    return len(lows) > 1


def _slants(solid: Prism) -> bool:
    """Whether a solid lies neither level nor upright."""
    along = abs(float(np.array(solid.frame)[2, 2]))
    return _SQUARE < along < 1 - _SQUARE


def elevation(scene: Scene, room_mm: Point2, *, labels: bool = True, more: More = nothing_more) -> Picture:
    """Return the view from the side that shows most stacks, on paper of at most so much room, wide and high, mm."""
    outlook = max(SIDES.values(), key=lambda side: _shows(scene, side))  # the front, if another shows no more
    bodies = bodies_of(scene, outlook)
    window = _window(scene, bodies)
    free = room_mm[0] - LEFT, room_mm[1] - _HEADING - ROW - BAR_HIGH
    view = View(outlook, window, scale_for(window, free), (LEFT, _HEADING))
    prefix = outlook.name.removeprefix("from the ")
    stacked = tuple(piece.id for stack in stacks(scene) if len(stack) > 1 for piece in stack)
    what = WantedLabels(prefix, only=stacked or None, welds=False)
    drawn = [
        rectangle(view.frame, "floor"),
        *drawn_bodies(shown(bodies, view), view, prefix, scene.units),
        _slab(scene, view, prefix),
        *welds(scene, view, prefix),
        *contact_marks(scene, view, prefix),
        *more(view, prefix),
    ]
    marks: list[Mark] = [Group(tuple(drawn), name_of(prefix, "view"), clip=view.frame)]
    named = labelled(scene, view, shown(bodies, view), (), what) if labels else Labelled((), ())
    marks += named.marks
    marks.append(TextLine(outlook.name, (view.frame.left, _HEADING - 1.8), "words", NORMAL, bold=True))
    marks += heights(view, _heights(scene, int(view.frame.height / ROW)), scene.units)
    marks += _lattice(scene, view)
    bottom = view.frame.bottom + ROW
    marks += scale_bar((view.frame.left, bottom + 1.5), view.scale, scene.units, view.frame.width / 2)
    words = f"View {outlook.name} of {scene.weldment}; figures at the left are heights above the table."
    wide = max(view.frame.right + 1.0, view.frame.left + 75.0)
    rest = [*named_below(named.unplaced, view.frame.left, bottom + BAR_HIGH, wide)]
    return Picture(wide, bottom + BAR_HIGH + below_high(rest), (*marks, *rest), f"{scene.weldment}: {outlook.name}", words)


def _shows(scene: Scene, side: Outlook) -> tuple[int, int]:
    """Return how many stacks stand apart from each other as seen from a side, and how many pieces do."""
    stacked = [stack[0] for stack in stacks(scene) if len(stack) > 1]
    return _apart(stacked, side), _apart(scene.pieces, side)


def _apart(pieces: Sequence[DrawnPiece], side: Outlook) -> int:
    places = sorted(side.seen((*piece.origin, 0.0))[0] for piece in pieces)
    count, last = 0, -np.inf
    for place in places:
        if place - last > _APART:
            count, last = count + 1, place
    return count


def _window(scene: Scene, bodies: Sequence[SeenBody]) -> Box:
    points = chain.from_iterable(body.shape.rings[0] for body in bodies)
    around = window_around(points, _MARGIN * scene.table.pitch)
    return replace(around, top=-max(scene.table.thickness, 10.0))


def _slab(scene: Scene, view: View, prefix: str) -> Mark:
    """Return the table's slab as it is seen from a side."""
    long, wide = scene.table.size
    corners = [view.outlook.seen((x, y, z)) for x in (0.0, long) for y in (0.0, wide) for z in (0.0, -scene.table.thickness)]
    box = Box.around([view.flat(corner) for corner in corners])
    return Group((rectangle(box, "table"),), name_of(prefix, "table"), f"table {scene.table.id}")


def _heights(scene: Scene, most: int) -> list[float]:
    """Return the heights worth telling, at most so many.

    The weldment's top and the table's, where stacked pieces meet parts, the tops of carriers, then where other pieces do.
    """
    stacked = {piece.id for stack in stacks(scene) if len(stack) > 1 for piece in stack}
    met = [mark for mark in scene.marks if mark.mark != "rests"]
    telling = [
        0.0,
        max(shape.high for part in scene.parts for shape in part.shapes),
        *sorted(mark.point[2] for mark in met if mark.piece in stacked),
        *sorted(max(shape.high for shape in piece.shapes) for piece in scene.pieces if piece.purpose == "carrier"),
        *sorted(mark.point[2] for mark in met if mark.piece not in stacked),
    ]
    return list(dict.fromkeys(round(value, 2) for value in telling))[:most]


def _lattice(scene: Scene, view: View) -> Iterator[Mark]:
    """Yield the lattice's labels below the table where stacks stand."""
    axis = 0 if abs(view.outlook.right[0]) > 0.5 else 1
    taken: list[float] = []
    for piece in sorted(scene.pieces, key=lambda piece: piece.origin[axis]):
        if piece.hole is None:
            continue
        step = round((piece.origin[axis] - scene.table.first[axis]) / scene.table.pitch)
        label = hole_label((step, 0))[:-1] if axis == 0 else str(step + 1)
        x = view.at((*piece.origin, 0.0))[0]
        if all(abs(x - other) > 5.5 for other in taken):
            taken.append(x)
            yield line((x, view.frame.bottom), (x, view.frame.bottom + 0.8), style="witness")
            yield TextLine(label, (x, view.frame.bottom + ROW), "words", SMALL, "middle", bold=True)
