"""The labels of a view: numbers of pieces with the heights they meet parts at, names of parts and welds; who found no room."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise

from inventory.shapes import Point2
from service.drawings.paper.labels import Label, PlacedLabel, placed_labels
from service.drawings.paper.lettering import LINE, NORMAL, SMALL, fitted, width_mm
from service.drawings.paper.marks import Box, Disc, Group, Mark, Stroke, TextLine, line, name_of, rectangle
from service.drawings.paper.tables import wrapped
from service.drawings.scene import DrawnPiece, Scene
from service.drawings.stacks import over_one_hole
from service.drawings.views.bodies import SeenBody, visible_spots
from service.drawings.views.contact_marks import SIZE, inside, torch
from service.drawings.views.outlook import TOP, View
from service.text import figure

CROWDED = 13.0
"""A label whose leader is longer, mm, shows that there is no room where it belongs."""
UNMARKED = "not marked for want of room"
_WIDEST_NAME = 30.0
_PAD = 0.5
OUTER_BODY = ("outer body", SMALL, False)
"""What stands below the name of an outer body."""


@dataclass(frozen=True, slots=True)
class LabelText:
    """What a label says: lines with their sizes, in a frame or not, and whom it names."""

    lines: tuple[tuple[str, float, bool], ...]
    style: str
    framed: bool
    owners: tuple[str, ...]

    @property
    def size(self) -> Point2:
        """Width and height, mm."""
        wide = max(width_mm(text, size, bold) for text, size, bold in self.lines)
        high = sum(LINE * size for _, size, _ in self.lines)
        return wide + 2 * _PAD, high + _PAD

    def leader(self, placed: PlacedLabel) -> Iterator[Mark]:
        """Yield the line from the label to what it names, if it stands away from it."""
        if placed.leader is not None:
            yield line(*placed.leader, style="leader")
            yield Disc(placed.leader[1], 0.35, "foot")

    def drawn(self, placed: PlacedLabel) -> Iterator[Mark]:
        """Yield the label where it was placed."""
        yield rectangle(placed.box, "tag" if self.framed else "halo")
        y = placed.box.top + _PAD / 2
        for text, size, bold in self.lines:
            y += LINE * size
            yield TextLine(text, (placed.middle[0], y - 0.27 * size), self.style, size, "middle", bold)


@dataclass(frozen=True, slots=True)
class Labelled:
    """The labels of a view, the ids of those with no room where they belong, and what those say that have no place at all."""

    marks: tuple[Mark, ...]
    crowded: tuple[str, ...]
    unplaced: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class WantedLabels:
    """What is to be labelled, and how.

    Parameters
    ----------
    prefix : str
        What the ids of labels begin with.
    leave_out : tuple of str
        Ids that are labelled elsewhere.
    heights : bool
        Whether pieces say at what heights they meet parts.
    only : tuple of str, optional
        Pieces that are labelled, None for all.
    welds : bool
        Whether welds are labelled.
    extra : tuple of (LabelText, Label)
        Labels of the caller's own, placed together with these.
    """

    prefix: str
    leave_out: tuple[str, ...] = ()
    heights: bool = True
    only: tuple[str, ...] | None = None
    welds: bool = True
    extra: tuple[tuple[LabelText, Label], ...] = ()


def labelled(scene: Scene, view: View, bodies: Sequence[SeenBody], kept_free: Sequence[Box], what: WantedLabels) -> Labelled:
    """Lay out the labels of all that a view shows.

    Parameters
    ----------
    bodies : sequence of SeenBody
        What the view shows, furthest first.
    kept_free : sequence of Box
        What no label may cover, mm of paper.
    what : WantedLabels
        What is to be labelled.
    """
    wanted = [*what.extra, *_of_pieces(scene, view, bodies, what), *_of_parts(view, bodies, what, scene)]
    wanted += _of_welds(scene, view, what) if what.welds else ()
    ink = [_on_paper(body, view) for body in bodies if not body.of_part]
    room = view.frame.grown(-0.3)
    placed = placed_labels([label for _, label in wanted], room, [*kept_free, *taken_by_marks(scene, view)], ink)
    leaders: list[Mark] = []
    labels: list[Mark] = []
    crowded: list[str] = []
    unplaced: list[str] = []
    for number, ((text, label), place) in enumerate(zip(wanted, placed, strict=True)):
        if place is None or (place.away > CROWDED and text.framed):
            crowded += text.owners
        if place is None:
            unplaced.append(", ".join(words for words, _, _ in text.lines))
        else:
            leaders += text.leader(place)
            id = name_of(what.prefix, "label", number, label.key)
            labels.append(Group(tuple(text.drawn(place)), id, " ".join(text.owners) or label.key))
    return Labelled((*leaders, *labels), tuple(crowded), tuple(unplaced))


def named_below(unplaced: Sequence[str], left: float, top: float, right: float) -> Iterator[TextLine]:
    """Yield in lines below a view what has no room in it."""
    if unplaced:
        said = wrapped(f"{UNMARKED}: " + "; ".join(unplaced), SMALL, right - left)
        yield from (TextLine(text, (left, top + (k + 1) * LINE * SMALL), "quiet", SMALL) for k, text in enumerate(said))


def below_high(lines: Sequence[TextLine]) -> float:
    """Return what lines below a view take, mm."""
    return LINE * SMALL * (len(lines) + 0.4) if lines else 0.0


def _of_pieces(scene: Scene, view: View, bodies: Sequence[SeenBody], what: WantedLabels) -> Iterator[tuple[LabelText, Label]]:
    """Yield the stacks' numbers, from the table up, with the heights at which they meet parts."""
    for stack in over_one_hole(scene):
        left_out = any(piece.id in what.leave_out for piece in stack)
        if left_out or (what.only is not None and not any(piece.id in what.only for piece in stack)):
            continue
        foot = _foot(stack, view, bodies)
        if foot is None:
            continue
        heights = sorted({round(mark.point[2], 2) for mark in scene.marks for piece in stack if mark.piece == piece.id})
        lines = [("+".join(str(piece.number) for piece in stack), NORMAL, True)]
        if heights and what.heights:
            lines.append(("h " + "/".join(figure(height, scene.units) for height in heights), SMALL, False))
        text = LabelText(tuple(lines), "words", True, tuple(piece.id for piece in stack))
        yield text, Label(stack[0].id, *text.size, foot)


def _foot(stack: Sequence[DrawnPiece], view: View, bodies: Sequence[SeenBody]) -> Point2 | None:
    """Return what a stack's label points at: its hole seen from above, what is visible of it from a side; None if nothing is."""
    if view.outlook is TOP:
        return view.at((*stack[0].origin, 0.0)) if inside(view, (*stack[0].origin, 0.0)) else None
    spots = [spot for piece in reversed(stack) for spot in visible_spots(piece, bodies, view.window)[:1]]
    return view.flat(spots[0]) if spots else None


def _of_parts(view: View, bodies: Sequence[SeenBody], what: WantedLabels, scene: Scene) -> Iterator[tuple[LabelText, Label]]:
    """Yield the parts' names, best on what is seen of them."""
    for part in scene.parts:
        spots = [] if part.id in what.leave_out else visible_spots(part, bodies, view.window)
        if spots:
            lines = [(fitted(part.id, NORMAL, _WIDEST_NAME), NORMAL, False), *([OUTER_BODY] if part.outer else [])]
            text = LabelText(tuple(lines), "plate-words", False, (part.id,))
            yield text, Label(part.id, *text.size, view.flat(spots[0]), tuple(view.flat(spot) for spot in spots))


def _of_welds(scene: Scene, view: View, what: WantedLabels) -> Iterator[tuple[LabelText, Label]]:
    for weld in scene.welds:
        middle = weld.torches[len(weld.torches) // 2][0] if weld.torches else weld.line[len(weld.line) // 2]
        if weld.id in what.leave_out or not inside(view, middle):
            continue
        text = LabelText(((fitted(weld.id, NORMAL, _WIDEST_NAME), NORMAL, True),), "weld-words", False, (weld.id,))
        yield text, Label(weld.id, *text.size, view.at(middle))


def _on_paper(body: SeenBody, view: View) -> Box:
    return Box.around([view.flat(point) for point in body.shape.rings[0]])


def taken_by_marks(scene: Scene, view: View) -> Iterator[Box]:
    """Yield what the marks of contacts and of the torch take on paper."""
    for mark in scene.marks:
        if mark.mark != "rests" and inside(view, mark.point):
            x, y = view.at(mark.point)
            right, down = view.way(mark.push)
            middle = x - 0.5 * SIZE * right, y - 0.5 * SIZE * down
            yield Box(middle[0], middle[1], middle[0], middle[1]).grown(0.55 * SIZE)
    for weld in scene.welds:
        for drawn in torch(weld, view):
            if isinstance(drawn, Disc):
                yield Box(*drawn.centre, *drawn.centre).grown(drawn.radius)
            elif isinstance(drawn, Stroke):
                yield from _along_line(drawn.lines[0])


def _along_line(points: Sequence[Point2]) -> Iterator[Box]:
    """Yield small boxes along a line, for one box round a slanting line would take too much."""
    for (ax, ay), (bx, by) in pairwise(points):
        steps = max(1, math.ceil(math.dist((ax, ay), (bx, by))))
        for k in range(steps):
            ends = [(ax + (bx - ax) * share / steps, ay + (by - ay) * share / steps) for share in (k, k + 1)]
            yield Box.around(ends).grown(0.1)
