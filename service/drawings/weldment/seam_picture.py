"""A weldment with its numbered seams on one sheet: from above, from the front and from the right, and every seam in words."""

from __future__ import annotations

import math
from collections.abc import Collection, Sequence
from dataclasses import replace
from itertools import pairwise

from inventory.shapes import Point2
from service.drawings.paper.lettering import LARGE, LINE, NORMAL, SMALL, fitted
from service.drawings.paper.marks import Box, Group, Mark, Picture, TextLine, rectangle, shifted
from service.drawings.paper.svg import as_svg
from service.drawings.paper.tables import table, wrapped
from service.drawings.weldment.flat_views import VIEWS, flat_view
from service.drawings.weldment.shown_weldment import ShownSeam, ShownWeldment
from service.text import figure
from solver.drafting import ProposedSeam
from solver.weldment import Weldment

_WIDE = 277.0
_MARGIN = 10.0
_GAP = 6.0
_ROOMS: dict[str, Point2] = {"above": (_WIDE, 150.0), "front": (150.0, 100.0), "right": (_WIDE - 150.0 - _GAP, 100.0)}
_TO_VIEWER = 0.2
"""A seam that opens towards the viewer is numbered in that view though it be this much shorter there."""


def seam_picture(weldment: Weldment, proposed: Sequence[ProposedSeam], chosen: Collection[str]) -> str:
    """Return an SVG document of a weldment with its seams, each numbered where it is seen longest.

    Seams without a weld are dashed, those `chosen` (ids) are drawn in another colour; welds are drawn through.
    """
    return as_svg(_sheet(weldment, proposed, chosen))


def _sheet(weldment: Weldment, proposed: Sequence[ProposedSeam], chosen: Collection[str]) -> Picture:
    marks: list[Mark] = []
    title = f"{weldment.name or 'weldment'}: seams"
    marks.append(TextLine(fitted(title, LARGE, _WIDE, bold=True), (_MARGIN, _MARGIN + LARGE), "words", LARGE, bold=True))
    bottom = _MARGIN + LARGE + LINE * NORMAL
    words = "Dashed: a seam without a weld. Through: a weld there is. Each seam has its number in the view that shows it longest."
    marks.append(TextLine(words, (_MARGIN, bottom + SMALL), "quiet", SMALL))
    bottom += LINE * SMALL + _GAP
    at = {number: _view_of(each) for number, each in enumerate(proposed)}
    pictures = {}
    for view, room in _ROOMS.items():
        pictures[view] = flat_view(
            _shown(weldment, proposed, chosen, [k for k, where in at.items() if where == view]), view, room
        )
    marks.append(_placed(pictures["above"], "above", _MARGIN, bottom))
    bottom += pictures["above"].height + _GAP
    marks.append(_placed(pictures["front"], "front", _MARGIN, bottom))
    marks.append(_placed(pictures["right"], "right", _MARGIN + pictures["front"].width + _GAP, bottom))
    bottom += max(pictures["front"].height, pictures["right"].height) + _GAP
    rows, lower = _listed(weldment, proposed)
    marks += shifted(rows, _MARGIN, bottom)
    bottom += lower
    crowded = _without_number(proposed, pictures.values())
    if crowded:
        for text in wrapped(f"No room for the numbers of {', '.join(crowded)}: find them by their words.", SMALL, _WIDE):
            bottom += LINE * SMALL
            marks.append(TextLine(text, (_MARGIN, bottom), "quiet", SMALL))
    wide, high = _WIDE + 2 * _MARGIN, bottom + _MARGIN
    paper = rectangle(Box(0.0, 0.0, wide, high), "paper")
    return Picture(wide, high, (paper, *marks), title, f"{len(weldment.parts)} parts, {len(proposed)} seams.")


def _placed(picture: Picture, view: str, left: float, top: float) -> Group:
    return Group(tuple(shifted(_named_apart(picture.marks, view), left, top)), f"view-{view}", picture.title)


def _named_apart(marks: Sequence[Mark], view: str) -> list[Mark]:
    """Return marks whose groups have ids of their own on a sheet of several views."""
    return [replace(mark, id=f"{view}-{mark.id}") if isinstance(mark, Group) else mark for mark in marks]


def _shown(
    weldment: Weldment, proposed: Sequence[ProposedSeam], chosen: Collection[str], numbered: Sequence[int]
) -> ShownWeldment:
    seams = tuple(
        ShownSeam(number, each.seam.path, each.seam.words, each.id if number in numbered else "", each.id in chosen)
        for number, each in enumerate(proposed)
    )
    parts, welds = tuple(enumerate(weldment.parts)), tuple(enumerate(weldment.welds))
    return ShownWeldment(weldment.name, weldment.units, parts, welds, seams)


def _view_of(proposed: ProposedSeam) -> str:
    """Return the view that shows a seam longest; of those that show it alike the one it opens towards."""
    path, length = proposed.seam.path, proposed.seam.length

    def rank(view: str) -> float:
        outlook = VIEWS[view]
        seen = sum(math.dist(outlook.seen(a), outlook.seen(b)) for a, b in pairwise(path)) / length
        return seen + _TO_VIEWER * outlook.depth(proposed.seam.open_side)

    return max(VIEWS, key=rank)


def _listed(weldment: Weldment, proposed: Sequence[ProposedSeam]) -> tuple[list[Mark], float]:
    unit = "in" if weldment.units == "inch" else "mm"
    rows = [
        [
            each.id,
            each.seam.kind,
            figure(each.seam.length, weldment.units),
            f"{each.seam.opening:g}°",
            each.weld or "",
            each.seam.place,
        ]
        for each in proposed
    ]
    return table(("seam", "kind", f"length, {unit}", "opening", "weld", "where"), rows, _WIDE, 0.0)


def _without_number(proposed: Sequence[ProposedSeam], pictures: Collection[Picture]) -> list[str]:
    there = {words.text for picture in pictures for words in picture.words}
    return [each.id for each in proposed if each.id not in there]
