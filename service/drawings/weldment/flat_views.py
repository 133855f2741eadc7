"""A weldment from above, from the front and from the right, each on paper of its own, with what can be picked told apart."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from itertools import pairwise

from inventory.shapes import Point2, Point3
from service.drawings.paper.labels import Label, placed_labels
from service.drawings.paper.lettering import SMALL, fitted, width_mm
from service.drawings.paper.marks import Box, Group, Mark, Picture, Stroke, TextLine, line, name_of, rectangle
from service.drawings.projection import Silhouette
from service.drawings.views.bodies import OUTER
from service.drawings.views.dimensions import BAR_HIGH, OVERALL, overall, scale_bar
from service.drawings.views.outlook import SIDES, TOP, View, scale_for, window_around
from service.drawings.weldment.shown_weldment import ShownBox, ShownSeam, ShownWeldment
from service.text import length
from solver.weldment import Part, Weld

VIEWS = {"above": TOP, "front": SIDES["from the front"], "right": SIDES["from the right"]}
"""The views there are, by short names."""
_MARGIN = 3.0
_NAME_MM = 34.0
_SHARES = (0.5, 0.3, 0.7, 0.15, 0.85)
_LEAST = Box(-100.0, -50.0, 100.0, 50.0)


def flat_view(shown: ShownWeldment, view: str, room_mm: Point2 = (100.0, 66.0)) -> Picture:
    """Return one view on paper that is as wide as there is room and at most so high, mm.

    Parameters
    ----------
    view : str
        One of `VIEWS`.

    Raises
    ------
    KeyError
        There is no such view.
    """
    outlook = VIEWS[view]
    bodies = sorted(
        ((outlook.shape(part.drawn), number, part) for number, part in shown.parts), key=lambda body: (body[0].high, body[1])
    )
    points = [point for shape, _, _ in bodies for point in shape.rings[0]]
    points += [outlook.seen(point) for _, weld in shown.welds for point in weld.path]
    points += [outlook.seen(point) for box in shown.boxes for point in (box.low, box.high)]
    around = window_around(points, 0.0) if points else _LEAST
    free = room_mm[0] - OVERALL - 2 * _MARGIN, room_mm[1] - OVERALL - BAR_HIGH - 2 * _MARGIN
    scale = scale_for(around, free)
    window = window_around([(around.left, around.top), (around.right, around.bottom)], _MARGIN * scale)
    left = max(1.0, (room_mm[0] - OVERALL - window.width / scale) / 2)
    sheet = View(outlook, window, scale, (left, OVERALL))
    marks: list[Mark] = [rectangle(sheet.frame, "floor")]
    marks += (_body(shape, number, part, sheet, shown) for shape, number, part in bodies)
    marks += (_weld(number, weld, sheet, shown) for number, weld in shown.welds)
    marks += (_seam(seam, sheet, shown) for seam in shown.seams)
    marks += (_box(number, box, sheet) for number, box in enumerate(shown.boxes))
    marks += _names(bodies, sheet, shown.seams, everywhere=view == "above")
    if points:
        marks += overall(sheet, (around.left, around.top, around.right, around.bottom), shown.units)
    marks += scale_bar((1.0, sheet.frame.bottom + 1.5), scale, shown.units, room_mm[0] / 3)
    wide, high = max(room_mm[0], sheet.frame.right + OVERALL), sheet.frame.bottom + BAR_HIGH
    name = shown.name or "weldment"
    return Picture(wide, high, tuple(marks), f"{name} {outlook.name}", _described(shown, around, bool(points)))


def _described(shown: ShownWeldment, around: Box, any_part: bool) -> str:
    if not any_part:
        return "Nothing is drawn yet."
    sizes = f"{length(around.width, shown.units)} wide, {length(around.height, shown.units)} high as seen"
    return f"{len(shown.parts)} parts, {len(shown.welds)} welds, {len(shown.seams)} seams without a weld; {sizes}."


def _style(shown: ShownWeldment, what: str, plain: str) -> str:
    more = " chosen" if shown.chosen == what else ""
    return f"{plain}{' at-fault' if what in shown.at_fault else ''}{more}"


def _body(shape: Silhouette, number: int, part: Part, sheet: View, shown: ShownWeldment) -> Group:
    what = f"part:{number}"
    rings = tuple(sheet.ring(ring) for ring in shape.rings)
    style, title = (OUTER, f"outer body {part.id}") if part.body else ("part", f"part {part.id}")
    return Group((Stroke(rings, _style(shown, what, style)),), name_of("part", number), title, about=what)


def _weld(number: int, weld: Weld, sheet: View, shown: ShownWeldment) -> Group:
    what = f"weld:{number}"
    path = tuple(sheet.at(point) for point in weld.path)
    marks = (line(*path, style="reach"), line(*path, style=_style(shown, what, "weld")))
    return Group(marks, name_of("weld", number), f"weld {weld.id}, {' and '.join(weld.parts)}", about=what)


def _seam(seam: ShownSeam, sheet: View, shown: ShownWeldment) -> Group:
    what = f"seam:{seam.number}"
    path = tuple(sheet.at(point) for point in seam.path)
    style = "seam chosen" if seam.picked else _style(shown, what, "seam")
    marks = (line(*path, style="reach"), line(*path, style=style))
    return Group(marks, name_of("seam", seam.number), f"seam without a weld: {seam.words}", about=what)


def _box(number: int, box: ShownBox, sheet: View) -> Group:
    on = Box.around([sheet.at(box.low), sheet.at(box.high)])
    return Group((rectangle(on, "ghost at-fault"),), name_of("box", number), box.words)


def _names(
    bodies: Sequence[tuple[Silhouette, int, Part]], sheet: View, seams: Sequence[ShownSeam], everywhere: bool
) -> Iterator[Mark]:
    """Yield the labels of seams beside them, and the parts' ids on the parts where they are seen and there is room.

    If `everywhere`, a part's id stands beside it where there is none.
    """
    labels, texts = [], {}
    for place, (shape, number, part) in enumerate(bodies):
        said = fitted(part.id, SMALL, _NAME_MM)
        spots = [sheet.flat(spot) for spot in _seen(shape, [other for other, _, _ in bodies[place + 1 :]])]
        on = sheet.ring(((shape.box[0], shape.box[1]), (shape.box[2], shape.box[3])))
        fits = width_mm(said, SMALL) < abs(on[1][0] - on[0][0]) and abs(on[1][1] - on[0][1]) > SMALL
        if not everywhere and not (fits and spots):
            continue
        foot = spots[0] if spots else sheet.flat(Box(*shape.box).middle)
        texts[f"part:{number}"] = said, "words"
        labels.append(Label(f"part:{number}", width_mm(said, SMALL) + 0.8, SMALL * 1.1, foot, tuple(spots[:5])))
    for seam in seams:
        if seam.label:
            texts[f"seam:{seam.number}"] = seam.label, "weld-words"
            middle = sheet.at(_half_way(seam.path))
            labels.append(Label(f"seam:{seam.number}", width_mm(seam.label, SMALL) + 0.8, SMALL * 1.1, middle))
    for placed in placed_labels(labels, sheet.frame.grown(-0.3)):
        if placed is None:
            continue
        box, (said, style) = placed.box, texts[placed.label.key]
        marks: list[Mark] = [] if placed.leader is None else [line(*placed.leader, style="leader")]
        marks += [rectangle(box, "halo"), TextLine(said, (box.left + 0.4, box.bottom - 0.26 * SMALL), style, SMALL)]
        kind, _, of = placed.label.key.partition(":")
        name = name_of("name", of) if kind == "part" else name_of("name", kind, of)
        yield Group(tuple(marks), name, about=placed.label.key)


def _half_way(path: Sequence[Point3]) -> Point3:
    """Return the point in the middle of a path."""
    steps = [math.dist(a, b) for a, b in pairwise(path)]
    left = sum(steps) / 2
    for (a, b), step in zip(pairwise(path), steps, strict=True):
        if left <= step:
            x, y, z = (p + (q - p) * left / step for p, q in zip(a, b, strict=True))
            return x, y, z
        left -= step
    return path[-1]


def _seen(shape: Silhouette, over: Sequence[Silhouette]) -> list[Point2]:
    """Return points of a body that no nearer one covers, those nearest its middle first."""
    x0, y0, x1, y1 = shape.box
    spots = [(x0 + a * (x1 - x0), y0 + b * (y1 - y0)) for a in _SHARES for b in _SHARES]
    spots.sort(
        key=lambda spot: abs(spot[0] - (x0 + x1) / 2) / max(x1 - x0, 1e-9) + abs(spot[1] - (y0 + y1) / 2) / max(y1 - y0, 1e-9)
    )
    return [spot for spot in spots if shape.covers(*spot) and not any(other.covers(*spot) for other in over)]
